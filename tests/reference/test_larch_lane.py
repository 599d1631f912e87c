"""The troubles planted into the invented class are found in its committed record, and no worse one."""

import datetime as dt
import json
from pathlib import Path

import pytest

import station.source
from station.reference.faults import LEAVES_NONE, examine

ROOT = Path(__file__).parents[2]
TRUTH = json.loads((ROOT / "tests" / "scenario" / "larch-lane-truth.json").read_text())["probe"]
KIND = {"asleep": "gap"}


def looked_at(name):
    recording = station.source.open(ROOT / "recordings" / name)
    known = recording.settings
    return examine(recording.frames.probe, known.site.zone, known.school, known.sessions)


def test_every_planted_trouble_is_found_where_it_is_and_no_other_costs_a_reference():
    found = [f for f in looked_at("larch-lane").faults if f.kind in LEAVES_NONE]
    planted = [
        (KIND.get(kind, kind), *map(dt.datetime.fromisoformat, span)) for kind, *span in TRUTH["troubles"]
    ]
    assert [f.kind for f in found] == [kind for kind, _, _ in planted]
    for fault, (_, start, end) in zip(found, planted, strict=True):
        assert abs(fault.start - start) <= dt.timedelta(minutes=2)
        assert abs(fault.end - end) <= dt.timedelta(minutes=2)


def test_steps_stand_only_where_the_sun_came_in():
    """The opening is lit from 13:26 to 16:30 local time at most (clear days); the record jumps there."""
    zone = station.source.open(ROOT / "recordings" / "larch-lane").settings.site.zone
    for fault in looked_at("larch-lane").faults:
        if fault.kind == "step":
            assert dt.time(13, 15) <= fault.start.astimezone(zone).time() <= dt.time(16, 30)


@pytest.mark.parametrize(("day", "kind"), [(15, "gap"), (20, "power_on_value"), (27, "indoors")])
def test_in_a_record_of_school_days_only_too(day, kind):
    found = looked_at("larch-lane-school-days")
    date = dt.date(2026, 10, day)
    assert [f.kind for f in found.faults if f.start.date() == date] == [kind]
    assert found.away
    assert not {f.kind for f in found.faults} - {"gap", "power_on_value", "indoors", "step"}
