"""The short bench: twenty classes run through and are scored; no rate is asserted here."""

import importlib.util
import sys
from pathlib import Path

import pytest

SPEC = importlib.util.spec_from_file_location("findings_bench", Path(__file__).with_name("bench.py"))
bench = importlib.util.module_from_spec(SPEC)
sys.modules["findings_bench"] = bench
SPEC.loader.exec_module(bench)


def test_exact_interval_vs_clopper_pearson_closed_form():
    # no case in n: the upper end is 1 - (0.025)^(1/n)
    low, high = sys.modules["counting"].interval(0, 20)
    assert low == 0.0
    assert high == pytest.approx(1 - 0.025 ** (1 / 20), rel=1e-9)


def test_twenty_classes_are_scored():
    score = bench.run(bench.tasks(bench.TUNING, classes=20, plenty=2, clocks=2, helped=2), say=False)
    names = set(score.counts)
    assert {"clean readings with a cause said", "honest teams named", "half-day found"} <= names
    assert score.counts["clean readings with a cause said"][1] > 1000
    assert "claimed" in bench.report(score)
