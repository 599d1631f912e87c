"""What the class screen takes from a comparison: which cards wait, what counts, when the probe may come."""

from __future__ import annotations

from dataclasses import replace

import pandas as pd
import pytest

from station.assess import cross_check
from station.record.columns import SAMPLES, empty
from station.record.model import Session
from station.views.web.together.dots import FAR_C, class_dots

from ...conftest import FIRST, frames, readings, settings

MORNING = Session(FIRST, "morning")


def told(celsius, fahrenheit=None, **changes):
    """Return the comparison of one session with these cards."""
    rows = readings(days=2).iloc[: len(celsius)].copy()
    rows["celsius"] = celsius
    if fahrenheit is None:
        fahrenheit = [None if c is None else round((c * 1.8 + 32) / 2) * 2 for c in celsius]
    rows["fahrenheit"] = pd.Series(fahrenheit, index=rows.index, dtype="float64")
    rows["celsius"] = rows["celsius"].astype("float64")
    return cross_check(
        frames(readings=rows.reset_index(drop=True), tables={}), replace(settings(), **changes)
    )


def test_cards_wait_that_lie_far_from_the_middle_or_whose_scales_disagree():
    whole = told([9, 9, 9, 10, 10, 9 + FAR_C + 1, 9, 9], [48, 48, 48, 50, 50, 59, 48, 70])
    dots = class_dots(whole, MORNING)
    assert [dot.value for dot in dots.dots] == [9, 9, 9, 9, 10, 10]
    assert [dot.value for dot in dots.waiting] == [9, 15]
    added = class_dots(whole, MORNING, add_waiting=True)
    assert added.waiting == ()
    assert len(added.dots) == 8


def test_exactly_at_the_limit_a_card_does_not_wait():
    dots = class_dots(told([9, 9, 9, 9, 9, 9 + FAR_C, 9, 9]), MORNING)
    assert not dots.waiting


def test_waiting_needs_no_probe():
    rows = [9, 9, 9, 10, 10, 20, 9, 9]
    whole = told(rows)
    without = cross_check(
        frames(readings=whole.frames.readings, probes={"": empty(SAMPLES)}, tables={}), whole.settings
    )
    assert class_dots(without, MORNING) == class_dots(whole, MORNING)


def test_a_card_with_one_scale_is_shown_and_not_counted():
    dots = class_dots(told([9, 9, 9, 9, 9, 9, 9, 10], [48, 48, 48, 48, 48, 48, 48, None]), MORNING)
    assert [dot.value for dot in dots.dots if not dot.counted] == [10]
    assert (dots.ours, dots.ours_on, dots.counted, dots.middle) == (9.0, 7, 7, 9.0)


def test_our_number_is_that_of_the_class_s_record(whole):
    for row in whole.sessions.itertuples():
        dots = class_dots(whole, Session(row.date, row.session))
        assert dots.ours == (None if pd.isna(row.class_value) else row.class_value)
        if dots.ours is not None:
            assert dots.ours_on >= dots.counted / 3


def test_the_order_of_dots_is_that_of_their_values_whoever_made_them():
    forward, backward = (
        class_dots(told(rows), MORNING) for rows in ([9, 10, 9, 8, 9, 9, 11, 9], [9, 11, 9, 9, 8, 9, 10, 9])
    )
    assert forward == backward
    assert [dot.value for dot in forward.dots] == sorted(dot.value for dot in forward.dots)


def test_the_probe_is_not_even_looked_up_before_its_step(whole):
    blind = replace(whole, budgets={}, frames=replace(whole.frames, probes={}))
    assert class_dots(blind, MORNING) == class_dots(whole, MORNING)
    assert class_dots(whole, MORNING).probe is None
    assert class_dots(whole, MORNING, with_probe=True).probe.value == pytest.approx(
        whole.budgets[MORNING].value_c
    )


def test_a_fahrenheit_class_sees_its_own_column_and_its_own_marks():
    school = replace(settings().school, class_scale="fahrenheit")
    whole = told([9] * 7 + [None], [48, 48, 48, 48, 50, 48, 48, 48], school=school)
    dots = class_dots(whole, MORNING, with_probe=True)
    assert [dot.value for dot in dots.dots] == [48] * 7 + [50]  # never converted
    assert (dots.unit, dots.mark, dots.dots[0].half) == ("°F", 2.0, 1.0)
    assert dots.promise == pytest.approx(1.8)
    assert dots.probe.value == pytest.approx(whole.budgets[MORNING].value_c * 1.8 + 32)
    celsius = class_dots(told([9] * 7 + [None], [48] * 8), MORNING)
    assert celsius.blank == 1
    assert len(celsius.dots) == 7
