"""The lessons: geometry and lag against published figures, lots drawn from cards, too few cards."""

from __future__ import annotations

import json
import math
import re
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest

from station import source
from station.assess import cross_check
from station.record.columns import READINGS, empty
from station.views.web.together import cards
from station.views.web.together.lessons import LESSONS, Needs, eye, numbers, waiting

from ...conftest import TEAMS, frames, readings, settings

ROOT = Path(__file__).parents[4]


@pytest.fixture(scope="module")
def larch_lane():
    return source.cross_check(source.open(ROOT / "recordings/larch-lane"))


def test_the_line_of_sight_misses_by_d_tan_theta_vs_published():
    # 2.5 mm at 30 degrees = 1.44 mm: plane geometry, as listed among the published figures of the project
    assert eye.shift_mm(2.5, 30.0, "behind") == pytest.approx(1.44, abs=0.005)


def test_the_side_of_the_marks_turns_the_direction_vs_published():
    # marks behind the thread: a low eye reads high; a stem with marks in front: the reverse
    assert eye.shift_mm(2.5, 20.0, "behind") > 0 > eye.shift_mm(2.5, 20.0, "front")
    assert eye.shift_mm(2.5, 0.0, "behind") == 0.0


def test_a_first_order_lag_vs_published():
    # 63.21 / 86.47 / 95.02 / 98.17 / 99.33 % after 1 to 5 time constants
    left = [100.0 - waiting.left_c(100.0, n, 60.0) for n in range(1, 6)]
    assert np.round(left, 2).tolist() == [63.21, 86.47, 95.02, 98.17, 99.33]
    # within 0.5 degC at tau 90 s: 3.5 / 4.5 / 5.1 / 5.5 min for gaps of 5 / 10 / 15 / 20 degC
    minutes = [waiting.minutes_until(gap, 0.5, 90.0) for gap in (5.0, 10.0, 15.0, 20.0)]
    assert np.round(minutes, 1).tolist() == [3.5, 4.5, 5.1, 5.5]
    assert waiting.minutes_until(0.2, 0.5, 90.0) == 0.0
    assert waiting.minutes_until(-20.0, 0.5, 90.0) == pytest.approx(minutes[-1])


def test_means_of_independent_cards_shrink_by_the_root_of_their_number():
    draw = np.random.default_rng(1)
    pools = [draw.normal(0.0, 1.0, 400) for _ in range(20)]
    one, nine = numbers.means_of(pools, [1, 9], draws=4000)
    assert one.std() / nine.std() == pytest.approx(3.0, rel=0.06)


def test_what_all_cards_share_does_not_shrink():
    draw = np.random.default_rng(2)
    pools = [0.8 + draw.normal(0.0, 0.5, 400) for _ in range(20)]
    many = numbers.means_of(pools, [1, 12], draws=2000)[1]
    assert np.median(many) == pytest.approx(0.8, abs=0.03)
    # a bias of the session's own stays in the scatter too
    pools = [draw.normal(0.0, 1.0) + draw.normal(0.0, 0.1, 400) for _ in range(200)]
    one, many = numbers.means_of(pools, [1, 12], draws=4000)
    assert one.std() / many.std() == pytest.approx(1.0, abs=0.05)


def test_all_cards_of_a_session_together_are_that_session_s_mean():
    pools = [np.arange(6.0), np.arange(6.0) + 10.0]
    six = numbers.means_of(pools, [1, 6], draws=50)[1]
    assert set(np.round(six, 9)) <= {2.5, 12.5}


def test_the_same_cards_give_the_same_lots(larch_lane):
    first, again = (LESSONS["one-or-many"].scene(larch_lane) for _ in range(2))
    assert first == again


def test_every_lesson_is_drawn_from_the_invented_class(larch_lane):
    for key, lesson in LESSONS.items():
        scene = lesson.scene(larch_lane)
        assert not isinstance(scene, Needs), key
        drawings = re.findall(r"<svg.*?</svg>", str(scene.picture), re.DOTALL)
        assert len(drawings) == 2, key
        for drawing in drawings:
            assert "style=" not in drawing, key
            assert "nan" not in drawing, key
            ElementTree.fromstring(drawing)


def test_the_invented_class_tells_its_truths(larch_lane):
    assert "Number 7 leans +1." in LESSONS["leaning"].scene(larch_lane).numbers[0]
    assert LESSONS["swap"].scene(larch_lane).numbers[0].endswith("It goes with the tube.")
    assert LESSONS["bucket"].scene(larch_lane).numbers[0].endswith("Beyond it for sure: 7.")
    assert (
        LESSONS["probe-day"]
        .scene(larch_lane)
        .numbers[0]
        .startswith("Tue 20 Oct: the probe sent only its power-on")
    )


def test_a_swap_that_shows_nothing_is_not_made_to_show_something(whole):
    rows = whole.readings.copy()
    rows["thermometer"] = np.where(rows["thermometer"] == "4", "2", rows["thermometer"])
    rows["indication"] = rows.groupby(["date", "session"])["indication"].transform("median")
    found = LESSONS["swap"].scene(replace(whole, readings=rows))
    assert found.numbers[0].endswith("It goes with neither for sure.")


def test_too_few_cards_say_what_is_missing():
    whole = cross_check(frames(readings=empty(READINGS), tables={}), settings())
    for key, lesson in LESSONS.items():
        found = lesson.scene(whole)
        assert isinstance(found, Needs) is (key not in ("eye-line", "waiting")), key
    assert "example" in LESSONS["waiting"].scene(whole).what


def test_distances_hold_no_team_and_leave_out_cards_that_wait(whole):
    table = cards.distances(whole)
    text = table.astype(str).to_csv()
    assert not any(team in text for team in TEAMS)
    assert table["from_middle"].abs().max() <= 5.0  # the slip of ten is left out
    assert (table.groupby(["date", "session"]).size() >= cards.FEWEST_OF_SESSION).all()


def test_sessions_in_doubt_are_left_out(whole):
    first = whole.readings["date"].min()
    found = replace(whole.findings, notes={(first, "morning"): ("clock_shift",)})
    table = cards.clear_of_doubt(replace(whole, findings=found), cards.distances(whole))
    assert not ((table["date"] == first) & (table["session"] == "morning")).any()
    assert ((table["date"] == first) & (table["session"] == "afternoon")).any()


def test_a_fahrenheit_class_has_lessons_in_fahrenheit():
    school = replace(settings().school, class_scale="fahrenheit")
    whole = cross_check(frames(readings=readings()), replace(settings(), school=school))
    for lesson in LESSONS.values():
        found = lesson.scene(whole)
        if not isinstance(found, Needs):
            assert "°C" not in " ".join((*found.numbers, found.ask, found.what))


def test_the_script_gets_the_geometry_the_drawing_has():
    of = eye.eye("behind", 1.0, 0.0, "°C")
    for at in json.loads(json.dumps(eye.stages(of))):
        assert at["tube"] - at["marks"] == pytest.approx(of.gap_mm * at["mm"])
        highest = at["radius"] * math.sin(math.radians(of.furthest))
        assert highest < at["middle"]  # the eye stays on the drawing
