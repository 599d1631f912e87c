"""The flow as a whole, on the invented class whose truth is known and on small cases."""

import dataclasses
import datetime as dt
import json
from pathlib import Path

import numpy as np
import pytest

import station
from station.assess import cross_check
from station.record.columns import SAMPLES, empty
from station.record.model import Session

ROOT = Path(__file__).parents[1]
LARCH_LANE = ROOT / "recordings" / "larch-lane"
TRUTH = json.loads((ROOT / "tests" / "scenario" / "larch-lane-truth.json").read_text())
HONEST = ("Alder", "Aspen", "Beech", "Cedar", "Larch")


@pytest.fixture(scope="module")
def recording():
    return station.open(LARCH_LANE)


@pytest.fixture(scope="module")
def found(recording):
    return station.cross_check(recording)


def session(found, date, part):
    rows = found.sessions
    return rows[(rows["date"] == dt.date.fromisoformat(date)) & (rows["session"] == part)].iloc[0]


@pytest.mark.parametrize(
    ("date", "part", "kind"),
    [
        ("2026-10-15", "morning", "gap"),
        ("2026-10-20", "morning", "power_on_value"),
        ("2026-10-20", "afternoon", "power_on_value"),
        ("2026-10-27", "morning", "indoors"),
        ("2026-10-27", "afternoon", "indoors"),
    ],
)
def test_a_session_without_usable_record_has_no_reference_and_says_why(found, date, part, kind):
    row = session(found, date, part)
    assert np.isnan(row["reference"])
    assert kind in row["notes"]
    mine = found.readings[
        (found.readings["date"] == dt.date.fromisoformat(date)) & (found.readings["session"] == part)
    ]
    assert set(mine.loc[mine["indication"].notna(), "verdict"]) == {"no reference"}


def test_every_other_session_has_a_reference(found):
    assert found.sessions["reference"].isna().sum() == 5


def test_the_sun_puts_its_sessions_in_doubt_and_its_steps_are_the_sun_s(found):
    sunny = found.sessions[[("sun" in notes) for notes in found.sessions["notes"]]]
    assert {(d.isoformat(), p) for d, p in zip(sunny["date"], sunny["session"], strict=True)} == {
        ("2026-11-10", "afternoon"), ("2026-11-11", "afternoon"), ("2026-11-13", "afternoon"),
        ("2026-11-09", "afternoon"),
    }  # fmt: skip
    assert sunny["reference"].notna().all()
    mine = found.readings[found.readings["date"] == dt.date(2026, 11, 13)]
    assert mine.loc[mine["session"] == "afternoon", "verdict"].isna().all()
    kinds = [fault.kind for fault in found.probe.faults]
    assert "step" not in kinds
    assert kinds.count("sun") == 4


def test_without_a_position_nothing_is_said_of_the_sun(recording):
    site = dataclasses.replace(recording.settings.site, latitude=None)
    found = cross_check(recording.frames, dataclasses.replace(recording.settings, site=site))
    assert "sun" not in {fault.kind for fault in found.probe.faults}


def test_thermometer_7_and_maple_s_first_weeks_are_recovered(found):
    offsets = found.thermometers.set_index("number")
    assert offsets.loc["7", "offset"] == pytest.approx(TRUTH["thermometers"]["7"]["offset_c"], abs=0.3)
    first = found.segments[found.segments["team"] == "Maple"].iloc[0]
    assert first["to"] < dt.date(2026, 10, 26)
    assert first["bias"] == pytest.approx(1.0, abs=0.3)


def test_every_sound_thermometer_s_limits_hold_its_true_offset_or_nearly(found):
    for row in found.thermometers.itertuples():
        true = TRUTH["thermometers"][row.number]["offset_c"]
        assert row.offset_low - 0.15 <= true <= row.offset_high + 0.15


def test_no_honest_team_s_limits_leave_zero_out_by_more_than_a_fifth(found):
    teams = found.teams.set_index("team")
    for team in HONEST:
        assert teams.loc[team, "bias_low"] <= 0.2
        assert teams.loc[team, "bias_high"] >= -0.2


def test_the_slipped_plate_is_one_number_s_and_its_offset_stays_small(found):
    assert found.thermometers.loc[found.thermometers["slipped"], "number"].tolist() == ["11"]
    assert abs(found.thermometers.set_index("number").loc["11", "offset"]) < 0.4


def test_the_class_value_is_the_same_without_the_probe(recording, found):
    bare = dataclasses.replace(recording.frames, probes={"": empty(SAMPLES)})
    alone = cross_check(bare, recording.settings)
    for column in ("class_value", "median", "mean"):
        assert alone.sessions[column].equals(found.sessions[column])
    assert alone.sessions["reference"].isna().all()
    assert alone.readings.loc[alone.readings["indication"].notna(), "verdict"].eq("no reference").all()
    # teams and thermometers separate without a probe; only what all share is lost
    assert alone.thermometers.set_index("number").loc["7", "offset"] == pytest.approx(1.6, abs=0.3)
    assert np.isnan(alone.common.value)


def test_rows_come_in_the_order_of_the_file(recording, found):
    assert found.readings["line"].tolist() == recording.frames.readings["line"].tolist()


def test_what_all_share_holds_the_probe_s_own_offset(found):
    # the probe reads 0.2 high, so all errors are 0.2 low
    assert found.common.low <= -0.2 <= found.common.high
    assert found.common.high - found.common.low > 1.2  # its limits of 0.5 are not divided by any n


def test_a_reading_with_its_own_time_is_compared_with_its_own_minutes(recording):
    frames = recording.frames
    start = found_start = dt.datetime(2026, 10, 5, 14, 2, tzinfo=dt.UTC)
    readings = frames.readings.copy()
    readings.loc[0, "time"] = start
    result = cross_check(dataclasses.replace(frames, readings=readings), recording.settings)
    probe = frames.probe
    near = probe[(probe["time"] - found_start).abs() <= np.timedelta64(150, "s")]
    assert result.readings.loc[0, "reference"] == pytest.approx(near["celsius"].mean(), abs=0.05)
    assert result.readings.loc[0, "reference"] != result.readings.loc[1, "reference"]


def test_a_confirmed_clock_shift_moves_the_reference(recording, found):
    from station.record.model import ClockShift

    shift = ClockShift(dt.date(2026, 11, 2), dt.date(2026, 11, 6), -60.0)
    shifted = cross_check(recording.frames, dataclasses.replace(recording.settings, clock=(shift,)))
    before, after = (session(f, "2026-11-06", "morning")["reference"] for f in (found, shifted))
    assert before != after
    day = Session(dt.date(2026, 10, 8), "morning")
    assert shifted.budgets[day].value_c == found.budgets[day].value_c


def test_a_team_that_keeps_one_thermometer_is_not_separable(recording):
    readings = recording.frames.readings.copy()
    numbers = {team: str(i + 1) for i, team in enumerate(sorted(readings["team"].unique()))}
    readings["thermometer"] = readings["team"].map(numbers).astype("str")
    found = cross_check(dataclasses.replace(recording.frames, readings=readings), recording.settings)
    assert not found.separable
    assert found.teams["bias"].notna().sum() <= 1
    assert found.readings["offset"].notna().sum() <= found.teams["readings"].max() + 10


def test_a_box_check_sets_the_zero_of_the_offsets(recording, found):
    import pandas as pd

    checks = pd.DataFrame(
        {
            "date": dt.date(2026, 10, 2), "kind": "ice", "thermometer": ["7", "3"], "scale": "celsius",
            "reader": "1", "reference": [0.0, 0.0], "reading": [2.1, 0.5],
        }
    )  # fmt: skip
    frames = dataclasses.replace(recording.frames, tables={**recording.frames.tables, "checks": checks})
    moved = cross_check(frames, recording.settings).thermometers.set_index("number")["offset"]
    offsets = found.thermometers.set_index("number")["offset"]
    assert (moved["7"] + moved["3"]) / 2 == pytest.approx(1.3, abs=1e-6)
    assert moved["7"] - moved["3"] == pytest.approx(offsets["7"] - offsets["3"], abs=1e-6)


def test_a_band_narrower_than_the_probe_is_not_judged(recording):
    box = dataclasses.replace(recording.settings.box, accuracy_c=0.3)
    found = cross_check(recording.frames, dataclasses.replace(recording.settings, box=box, exceptions={}))
    assert found.readings["p_inside"].isna().all()
    assert set(found.readings["verdict"].dropna()) == {"no reference"}
    assert all(
        "band_too_narrow" in notes
        for notes, reference in zip(found.sessions["notes"], found.sessions["reference"], strict=True)
        if reference == reference and not {"clock_shift", "step", "sun"} & set(notes)
    )


@pytest.mark.parametrize("missing", ["readings", "probe", "both"])
def test_empty_parts_give_an_empty_answer_and_no_exception(recording, missing):
    frames = recording.frames
    if missing in ("readings", "both"):
        frames = dataclasses.replace(frames, readings=frames.readings.iloc[:0])
    if missing in ("probe", "both"):
        frames = dataclasses.replace(frames, probes={})
    found = cross_check(frames, recording.settings)
    assert len(found.readings) == len(frames.readings)
    assert found.separable is (missing == "probe")


def test_the_tables_carry_what_was_found(found):
    states = {"too early", "nothing to see", "worth a look", "clear"}
    assert set(found.teams["finding"]) <= states
    assert found.teams.set_index("team")["finding"].to_dict() == dict(found.findings.team_states)
    assert found.thermometers.set_index("number")["finding"].to_dict() == dict(
        found.findings.thermometer_states
    )
    causes = found.findings.causes
    assert found.readings["mistakes"].map(len).sum() == len(causes) > 0
    row = causes.iloc[0]
    assert found.readings["mistakes"][row["row"]][0]["kind"] == row["kind"]
