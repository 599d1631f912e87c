"""Do the reference's limits hold the true air? Generated classes with the probe's offset inside its limits.

A clean session is one whose reference the tool gives without a doubt, with a true clock and no sun on the
probe. The short version runs everywhere and asserts nothing close; ``pytest -m long`` runs 300 classes and
asserts the figures.
"""

import datetime as dt

import numpy as np
import pytest

from station import settings
from station.assess import cross_check
from station.record.model import Session
from station.scenario.draw import draw_class
from station.scenario.play import play

REPORTING_SEEDS = range(70_000, 70_300)


def clean_sessions(seed):
    """Return |reference - true air|, U and u of each clean session [degC]."""
    played = play(draw_class(seed, clock_minutes=0))
    found = cross_check(played.frames, settings.parse(played.settings_text))
    truth = played.truth[played.frames.readings["celsius"].notna().to_numpy()]
    rows = []
    for (date, part), mine in truth.groupby(["true_date", "true_session"]):
        day = dt.date.fromisoformat(date) if isinstance(date, str) else date
        reference = found.budgets.get(Session(day, part))
        if reference is None or reference.doubts or mine["sun_c"].abs().max() > 0.05:
            continue
        rows.append((abs(reference.value_c - mine["air_c"].mean()), reference.expanded_c, reference.u_c))
    return rows


def figures(seeds):
    rows = np.array([row for seed in seeds for row in clean_sessions(seed)])
    away, expanded, u = rows.T
    return len(rows), float(np.mean(away <= expanded)), float(np.median(u))


def test_reference_limits_hold_the_true_air():
    sessions, held, u = figures(REPORTING_SEEDS[:4])
    assert sessions > 100
    assert held > 0.9
    assert u < 0.6


@pytest.mark.long
def test_reference_limits_hold_the_true_air_in_300_classes():
    sessions, held, u = figures(REPORTING_SEEDS)
    print(f"\n{sessions} clean sessions, {held:.4f} held, median u {u:.3f} degC")
    assert held >= 0.95
    assert u <= 0.45
