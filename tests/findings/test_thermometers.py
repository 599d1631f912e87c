import importlib.util
import sys
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from station.findings.plates import SLIPS_C, log_plates
from station.findings.thermometers import findings, steps

SPEC = importlib.util.spec_from_file_location("findings_build", Path(__file__).with_name("build.py"))
build = importlib.util.module_from_spec(SPEC)
sys.modules["findings_build"] = build
SPEC.loader.exec_module(build)

TEAMS = [f"T{i}" for i in range(9)]


def class_of(seed, days=40, step_day=99, step_c=0.0, plate_f=0.0, jump=None):
    rng = np.random.default_rng(seed)

    def card(day, part, team, number):
        high = step_c if number == "4" and day >= step_day else 0.0
        c, f = build.honest(rng, 6.0 + day % 7, high)
        if jump is not None and number == "4" and day in jump:
            c, f = c + 6.0, f + 11.0
        return c, f + (plate_f if number == "4" else 0.0)

    frame = build.rows(days, TEAMS, card)
    return build.evidence(frame, lambda day, part: 6.0 + day % 7), len(frame)


def table(offset=0.0, half=0.2, readings=40):
    return pd.DataFrame(
        {
            "number": ["4"],
            "readings": [readings],
            "offset": [offset],
            "offset_low": [offset - half],
            "offset_high": [offset + half],
            "separable": [True],
        }
    )


def test_a_step_at_a_date_is_found_and_none_where_there_is_none():
    for seed in range(8):
        e, n = class_of(seed, step_day=20, step_c=2.0)
        (step,) = steps(e, np.zeros(n), np.ones(n, dtype=bool))
        assert e.numbers[step.number] == "4"
        assert abs(step.session - 20) <= 3
        assert step.after_c - step.before_c == pytest.approx(2.0, abs=0.6)
        e, n = class_of(seed)
        assert steps(e, np.zeros(n), np.ones(n, dtype=bool)) == ()


def test_a_few_warm_readings_at_the_start_are_no_step():
    for seed in range(8):
        e, n = class_of(seed, jump={0, 2, 4})
        assert steps(e, np.zeros(n), np.ones(n, dtype=bool)) == ()


def test_a_slipped_plate_is_found_with_its_size():
    e, _ = class_of(1, plate_f=-4.0)
    (plate,) = findings(e, table(), ())
    assert plate.kind == "scale_plate_slipped"
    assert plate.size_c == pytest.approx(4.0 / 1.8, abs=0.4)


@pytest.mark.parametrize(
    ("offset", "half", "readings", "found"),
    [(1.6, 0.2, 40, True), (0.5, 0.2, 40, False), (1.6, 0.2, 5, False), (0.9, 1.0, 40, False)],
)
def test_offset_follows_the_rule_of_size_errors_and_uses(offset, half, readings, found):
    e, _ = class_of(2)
    assert bool(findings(e, table(offset, half, readings), ())) is found


def test_a_plate_seen_once_is_in_doubt_and_one_seen_often_is_not():
    e, _ = class_of(3, days=2)
    few = np.exp(log_plates(e))
    assert few.sum(axis=1) == pytest.approx(1.0)
    e, _ = class_of(3, days=30)
    many = np.exp(log_plates(e))
    sound = SLIPS_C == 0.0
    assert many[:, sound].min() > 0.995
    assert few[:, sound].max() < 0.999
