"""Flags against a reference library and the published limits."""

import importlib.util
import json
import os
import runpy
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from station.reference import flags as f

HERE = Path(__file__).parent
STORED = json.loads((HERE / "ioos_qc.json").read_text())
WMO305 = json.loads((HERE / "wmo305.json").read_text())["wmo305_step_degC"]
X = np.array([np.nan if v is None else v for v in STORED["series"]])
T = 1.79e9 + 600.0 * np.arange(X.size)


def test_gross_range_vs_ioos_qc():
    np.testing.assert_array_equal(f.gross_range(X, (-40, 60), (-20, 45)), STORED["flags"]["gross_range"])


@pytest.mark.parametrize("method", ["average", "differential"])
def test_spike_vs_ioos_qc(method):
    """Every flag agrees; ``average`` flags the spike's neighbours too, ``differential`` does not."""
    np.testing.assert_array_equal(f.spike(X, (1.0, 3.0), method), STORED["flags"][f"spike_{method}"])


def test_stuck_vs_ioos_qc():
    np.testing.assert_array_equal(f.stuck(T, X, 0.05, (1800.0, 3600.0)), STORED["flags"]["stuck"])


def test_rate_vs_ioos_qc():
    """The same samples are suspect; where there is no earlier value ours is 2 and theirs 1."""
    ours, theirs = f.rate(T, X, 0.05), np.array(STORED["flags"]["rate"])
    np.testing.assert_array_equal(ours == 3, theirs == 3)
    np.testing.assert_array_equal(np.flatnonzero(ours != theirs), [0, 13])
    assert set(ours[[0, 13]]) == {2}


def test_precedence_vs_ioos_qc():
    checks = pd.DataFrame(
        {name: np.array(STORED["flags"][name], dtype=np.uint8) for name in ("gross_range", "stuck")}
    )
    checks["spike"] = np.array(STORED["flags"]["spike_average"], dtype=np.uint8)
    np.testing.assert_array_equal(f.combine(checks), STORED["flags"]["combined"])


def test_stored_answers_vs_ioos_qc():
    """The library itself still gives the stored answers; skipped where it is not installed, never in CI."""
    if importlib.util.find_spec("ioos_qc") is None:
        assert os.environ.get("CI") != "true", "CI must have ioos-qc"
        pytest.skip("ioos-qc is not installed here; its stored answers are used")
    assert runpy.run_path(str(HERE / "oracles.py"))["qartod"](STORED["series"]) == STORED["flags"]


def test_step_limits_vs_wmo_305():
    assert {str(h): v for h, v in f.STEP_LIMITS_C.items()} == {h: float(v) for h, v in WMO305.items()}


@pytest.mark.parametrize(("hours", "limit"), [(int(h), v) for h, v in WMO305.items()])
@pytest.mark.parametrize(("beyond", "flag"), [(-0.1, 1), (0.1, 3)])
def test_a_change_at_the_limit_vs_wmo_305(hours, limit, beyond, flag):
    """A change spread evenly over h hours by the limit less or more 0.1 degC; every limit on its own."""
    t = 1.79e9 + 60.0 * np.arange(hours * 60 + 1)
    x = np.linspace(0.0, limit + beyond, t.size)
    assert f.step(t, x, {hours: float(limit)})[-1] == flag
    assert set(f.step(t, x, {hours: float(limit)})[:-10]) == {1}


@pytest.mark.parametrize(
    ("value", "flag"), [(-80.1, 4), (-80.0, 3), (20.0, 1), (60.0, 3), (60.1, 4), (85.0, 4), (-127.0, 4)]
)
def test_sensor_range_vs_zahumensky(value, flag):
    assert f.gross_range(np.array([value]))[0] == flag


@pytest.mark.parametrize(("per_minute", "flag"), [(2.9, 1), (3.1, 3)])
@pytest.mark.parametrize("every_s", [1.0, 10.0, 30.0, 60.0, 300.0])
def test_rate_vs_zahumensky(per_minute, flag, every_s):
    """3 degC a minute, however often the probe speaks."""
    t = 1.79e9 + np.arange(0.0, 1201.0, every_s)
    x = -20 + per_minute * (t - t[0]) / 60.0
    assert f.rate(t, x)[-1] == flag
