"""Every row of the demonstration's truth, in the document and in words: what is said, and what never is.

Both recordings: the whole record, and the record of school days only. Whether the sun reaches the place is
the place's own part; here only that nobody is named from its sessions.
"""

from __future__ import annotations

import datetime as dt
import functools
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd
import pytest

from station.assess import Assessment, cross_check
from station.base.time import to_utc
from station.scenario.larch_lane import larch_lane
from station.scenario.play import play
from station.settings import parse
from station.views import causes, document, found, tables, terminal

HONEST = ("Alder", "Aspen", "Beech", "Cedar", "Larch")
HABITS = {
    "Maple": "eye_line", "Fir": "read_too_soon", "Hazel": "bulb_warmed", "Holly": "scales_swapped",
    "Oak": "ten_off", "Willow": "converted_not_read", "Pine": "rounded", "Rowan": "minus_dropped",
    "Elm": "small_marks",
}  # fmt: skip
SURE = 0.8


@dataclass(frozen=True)
class Case:
    """One recording: what is true, what was found, the document, and everything said in words."""

    truth: pd.DataFrame
    assessment: Assessment
    json: dict[str, Any]
    page: str
    first: str
    findings: pd.DataFrame
    likely: dict[int, str]

    def said(self, row: int) -> list[str]:
        mistakes = self.json["readings"][row]["mistakes"]
        return [m["kind"] for m in mistakes if m["probability"] >= SURE]

    def team(self, name: str) -> dict[str, Any]:
        return next(team for team in self.json["teams"] if team["team"] == name)

    def sentence(self, subject: str) -> str:
        (row,) = self.findings[self.findings["subject"] == subject].to_dict("records")
        return " ".join(str(row[key]) for key in ("seen", "looks_alike", "to_do", "to_say"))

    def notes(self, day: str, part: str) -> set[str]:
        session = self.session(day, part)
        return {note["kind"] for note in session["notes"]}

    def session(self, day: str, part: str) -> dict[str, Any]:
        return next(s for s in self.json["sessions"] if (s["date"], s["session"]) == (day, part))

    def rows(self, **slips: str) -> list[int]:
        return [int(i) for i in np.flatnonzero(self.truth["slip"] == slips["slip"])]


def assess(played: Any, until: dt.date | None = None) -> Assessment:
    """Return what is found at the end, or on the evening of one day."""
    settings = parse(played.settings_text)
    frames = played.frames
    if until is not None:
        end = to_utc(until, dt.time(23, 0), settings.site.zone)
        readings = frames.readings[frames.readings["date"] <= until].reset_index(drop=True)
        probe = frames.probe[frames.probe["time"] <= end].reset_index(drop=True)
        frames = replace(frames, readings=readings, probes={"": probe})
    return cross_check(frames, settings)


@functools.cache
def built(school_days: bool) -> tuple[Any, Case]:
    """Return the invented class as played and as checked."""
    played = play(larch_lane(school_days_only=school_days))
    assessment = assess(played)
    page = terminal.page(assessment, "Larch Lane", 100)
    return played, Case(
        truth=pd.concat([assessment.readings[["team", "date", "session"]], played.truth], axis=1),
        assessment=assessment,
        json=document.document(assessment),
        page=page,
        first=page[page.index("What to do first") : page.index("The latest session")],
        findings=tables.tables(assessment)["table-findings"],
        likely=dict(causes.causes(assessment)),
    )


@pytest.fixture(params=[False, True], ids=["whole record", "school days"])
def case(request: pytest.FixtureRequest) -> Case:
    return built(request.param)[1]


@pytest.fixture(scope="module")
def early() -> Any:
    """The class as its teacher sees it on the evening of some days."""
    whole = built(False)[0]
    days = [dt.date(2026, 10, day) for day in (7, 9, 14, 19)]
    return {day: assess(whole, day) for day in days}


def test_thermometer_7_runs_warm_and_no_team_for_it(case: Case) -> None:
    seven = next(t for t in case.json["thermometers"] if t["number"] == "7")
    assert [k["kind"] for k in seven["kinds"]] == ["thermometer_offset"]
    assert 1.4 <= seven["offset"] <= 1.8
    assert "Thermometer 7 reads 1." in case.sentence("7")
    assert "high" in case.sentence("7")
    assert "Thermometer 7 reads" in case.first
    for row in np.flatnonzero((case.truth["true_thermometer"] == "7") & case.truth["team"].isin(HONEST)):
        assert set(case.said(row)) <= {"thermometer_offset", "wrong_half_day", "wrong_date"}


def test_plate_of_11_slipped_and_no_team_reads_f_badly(case: Case) -> None:
    eleven = next(t for t in case.json["thermometers"] if t["number"] == "11")
    assert [k["kind"] for k in eleven["kinds"]] == ["scale_plate_slipped"]
    assert "two scales of thermometer 11 disagree by +2." in case.sentence("11")
    for team in case.json["teams"]:
        assert team["team"] == "Elm" or "small_marks" not in [h["kind"] for h in team["habits"]]
    others = [t for t in case.json["thermometers"] if t["number"] not in ("7", "11")]
    assert {t["finding"] for t in others} == {"nothing to see"}


@pytest.mark.parametrize("team", HABITS)
def test_each_team_is_found_with_what_it_does_and_nothing_else(case: Case, team: str) -> None:
    mine = case.team(team)
    assert [h["kind"] for h in mine["habits"]] == [HABITS[team]]
    assert mine["finding"] in ("worth a look", "clear")
    state = found.team_state(case.assessment, team)
    assert state.startswith(("worth a look: ", "clear: "))
    assert list(case.findings.loc[case.findings["subject"] == team, "kind"]) == [HABITS[team]]


@pytest.mark.parametrize("team", HONEST)
def test_honest_teams_have_nothing_to_see(case: Case, team: str) -> None:
    assert case.team(team)["habits"] == []
    assert found.team_state(case.assessment, team) == "nothing to see"
    assert team not in set(case.findings["subject"])


def test_maple_leans_then_is_helped_whatever_the_thermometer(case: Case) -> None:
    assert "whatever thermometer" in case.sentence("Maple")
    (change,) = case.team("Maple")["after_coaching"]
    assert change["verdict"] == "helped"
    assert change["change_high"] < 0.0
    assert "Maple, coached on 26 Oct (eye line): helped." in case.page
    assert "Maple" not in case.first


def test_fir_waits_too_short_and_has_no_constant_lean(case: Case) -> None:
    said = case.sentence("Fir")
    assert "colder the air is against the classroom" in said
    assert "wait" in said
    assert "steady" not in found.team_state(case.assessment, "Fir")


def test_hazel_is_warm_now_and_then(case: Case) -> None:
    assert "now and then" in case.sentence("Hazel")
    assert "steady" not in found.team_state(case.assessment, "Hazel")


def test_every_swapped_card_of_holly_is_said(case: Case) -> None:
    rows = case.rows(slip="scales_swapped")
    assert len(rows) >= 5
    for row in rows:
        assert "scales_swapped" in case.said(row)
        assert "C and F swapped" in case.likely[row]


def test_oak_is_ten_off_on_the_celsius_side(case: Case) -> None:
    rows = case.rows(slip="ten_off")
    groups = [(m["kind"], m["group"]) for r in rows for m in case.json["readings"][r]["mistakes"][:1]]
    assert groups.count(("ten_off", "celsius side")) >= 0.9 * len(rows)
    assert "unexplained" not in [kind for kind, _ in groups]
    assert all("Celsius" in case.likely[row] for row in rows if "ten_off" in case.said(row))


def test_willow_is_not_praised(case: Case) -> None:
    assert "worth more than two that match" in case.sentence("Willow")
    for word in ("perfect", "well done", "excellent", "best"):
        assert word not in case.page.lower().replace("our best idea", "").replace("at best", "")


def test_rowan_is_said_in_the_cold_and_never_near_minus_one(case: Case) -> None:
    rows = case.truth.loc[case.rows(slip="minus_dropped")]
    cold = rows.index[rows["air_c"] <= -2.0]
    assert len(cold) >= 4
    for row in cold:
        assert "minus_dropped" in case.said(row)
        assert "minus missing" in case.likely[row]
    near = case.truth.index[(case.truth["team"] == "Rowan") & case.truth["air_c"].between(-1.2, 0.0)]
    for row in near:
        assert "minus_dropped" not in case.said(row)
    assert "nobody can tell" in case.sentence("Rowan")
    assert all(kind["kind"] not in ("eye_line", "bulb_warmed") for kind in case.team("Rowan")["habits"])


@pytest.mark.parametrize(
    ("day", "parts", "kind", "word"),
    [
        ("2026-10-15", ("morning",), "gap", "no values"),
        ("2026-10-20", ("morning", "afternoon"), "power_on_value", "power-on value"),
        ("2026-10-27", ("morning", "afternoon"), "indoors", "indoors?"),
    ],
)
def test_troubles_of_the_probe_leave_no_reference_and_nobody_named(
    case: Case, day: str, parts: tuple[str, ...], kind: str, word: str
) -> None:
    for part in parts:
        session = case.session(day, part)
        assert session["reference"] is None
        assert kind in case.notes(day, part)
        assert "whole_class" not in case.notes(day, part)
        rows = [r for r in case.json["readings"] if (r["date"], r["session"]) == (day, part)]
        assert {r["verdict"] for r in rows if r["celsius"] is not None} == {"no reference"}
        assert all(r["reference"] is None or r["reference"] < 40.0 for r in rows)
    assert word in case.first


def test_the_clock_is_asked(case: Case) -> None:
    (shift,) = case.json["probe"]["clock"]
    assert (shift["from"][:10], shift["to"][:10], shift["shift_minutes"]) == ("2026-11-02", "2026-11-07", -60)
    assert "an hour earlier: was the laptop's clock turned?" in " ".join(case.first.split())
    for line in ("[[clock]]", 'from = "2026-11-02"', 'to = "2026-11-06"', "shift_minutes = -60"):
        assert line in case.first
    week = [r for r in case.json["readings"] if "2026-11-02" <= r["date"] <= "2026-11-06"]
    assert len(week) > 100
    assert {r["verdict"] for r in week} <= {None, "no reference"}


def test_the_clock_is_never_shifted_unasked(case: Case) -> None:
    zone = case.assessment.settings.site.zone
    samples = case.assessment.samples
    for day in range(2, 6):
        session = case.session(f"2026-11-{day:02d}", "afternoon")
        start = to_utc(dt.date(2026, 11, day), dt.time(14, 0), zone)
        inside = samples["time"].between(start, start + dt.timedelta(minutes=15))
        assert session["reference"] == pytest.approx(samples.loc[inside, "celsius"].mean(), abs=0.1)


def test_lines_to_copy_are_settings_that_settle_the_question(case: Case) -> None:
    played = next(built(twin)[0] for twin in (False, True) if built(twin)[1] is case)
    lines = [line.strip() for line in case.first.splitlines() if line.startswith("        ")]
    settings = parse(played.settings_text + "\n" + "\n".join(lines) + "\n")
    assert settings.clock[-1].shift_minutes == -60.0
    assert cross_check(played.frames, settings).findings.clock == ()


def test_crossed_piles_are_asked_and_no_team_is_named_for_them(case: Case) -> None:
    for part in ("morning", "afternoon"):
        assert "wrong_half_day" in case.notes("2026-10-14", part)
    assert "The piles of Wed 14 Oct look crossed" in case.first
    assert "Nothing was moved" in case.first
    crossed = [i for i, r in enumerate(case.json["readings"]) if r["date"] == "2026-10-14"]
    judged = {(case.json["readings"][i]["verdict"], case.json["readings"][i]["p_inside"]) for i in crossed}
    assert judged <= {(None, None), ("no reference", None)}  # the reference may be that of the other pile
    for row in crossed:
        groups = {m["group"] for m in case.json["readings"][row]["mistakes"] if m["probability"] >= SURE}
        assert "column" not in groups or case.truth["team"][row] in ("Fir", "Hazel", "Maple")
    day = case.assessment.readings["date"] == dt.date(2026, 10, 14)
    for team in HONEST:
        mine = case.assessment.readings.index[day & (case.assessment.readings["team"] == team)]
        for row in mine:
            assert set(case.said(row)) <= {"wrong_half_day", "thermometer_offset", "scale_plate_slipped"}


def test_the_page_of_the_crossed_day_calls_no_card_outside(early: dict[dt.date, Assessment]) -> None:
    page = terminal.page(early[dt.date(2026, 10, 14)])
    latest = page[page.index("The latest session: Wed 14 Oct") : page.index("\nSessions\n")]
    assert "The piles of Wed 14 Oct look crossed" in page
    assert "outside (" not in latest
    assert "inside (" not in latest


def test_cards_of_another_date_are_found_and_stay_as_written(case: Case) -> None:
    moved = case.truth.index[(case.truth["date"] != case.truth["true_date"]) & case.truth["air_c"].notna()]
    assert len(moved) >= 5
    for row in moved:
        assert "wrong_date" in case.said(row)
        assert "typed under another date" in case.likely[row]
        assert case.json["readings"][row]["date"] == case.truth["date"][row].isoformat()
    assert "Beech, Cedar and Willow, typed under Wed 21 Oct, fit Thu 22 Oct better" in " ".join(
        case.first.split()
    )


def test_a_missing_f_and_a_day_without_numbers_are_used(case: Case) -> None:
    (row,) = (i for i, r in enumerate(case.json["readings"])
              if r["fahrenheit"] is None and r["celsius"] is not None)  # fmt: skip
    assert "scale_missing" in case.said(row)
    assert case.json["readings"][row]["error"] is not None
    first = [r for r in case.json["readings"] if r["date"] == "2026-10-05" and r["celsius"] is not None]
    assert {r["thermometer"] for r in first} == {None}
    assert all(r["error"] is not None and r["two_scale_difference"] is not None for r in first)


def test_nobody_is_named_from_sessions_in_the_sun(case: Case) -> None:
    noted = [s for s in case.json["sessions"] if {"kind": "sun"} in s["notes"]]
    for session in noted:
        rows = [
            (i, r)
            for i, r in enumerate(case.json["readings"])
            if (r["date"], r["session"]) == (session["date"], session["session"])
        ]
        assert {r["verdict"] for _, r in rows} <= {None, "no reference"}
        for i, r in rows:
            if r["team"] in HONEST:
                assert not {m["group"] for m in r["mistakes"] if m["probability"] >= SURE} & {"column"}, i


def test_no_clean_reading_has_a_cause_in_words(case: Case) -> None:
    t = case.truth
    clean = (
        t["team"].isin(HONEST) & (t["slip"] == "") & (t["date"] == t["true_date"])
        & (t["session"] == t["true_session"]) & (t["sun_c"] < 0.3) & ~t["true_thermometer"].isin(["7", "11"])
    )  # fmt: skip
    assert [case.likely[row] for row in t.index[clean] if row in case.likely] == []


def test_at_most_two_suggestions_and_no_order_but_the_alphabet(case: Case) -> None:
    named = [team for team in case.truth["team"].unique() if f". {team} " in case.first]
    assert named == ["Fir"]
    block = case.page[case.page.index("Teams, in the order") : case.page.index("After coaching")]
    places = [block.index(f"\n{team} ") for team in sorted(case.truth["team"].unique())]
    assert places == sorted(places)
    assert "outside" not in block


def test_findings_come_when_they_can(early: dict[dt.date, Assessment]) -> None:
    """After sessions 6, 10, 16, 22: nothing of a lean early, then the plate, then habits, then Maple."""
    first, second, third, fourth = (early[day].findings for day in sorted(early))
    assert {f.kind for found in first.teams.values() for f in found} <= {"small_marks"}
    # thermometer 11 has had some eight uses by then; numbers are written from the second day on
    assert [f.kind for f in second.thermometers["11"]] == ["scale_plate_slipped"]
    assert [f.kind for f in second.teams["Elm"]] == ["small_marks"]
    assert [f.kind for f in third.teams["Pine"]] == ["rounded"]
    for team in ("Maple", "Willow", "Oak"):
        assert [f.kind for f in fourth.teams[team]] == [HABITS[team]]
    for findings in (first, second, third, fourth):
        assert all(findings.teams[team] == () for team in HONEST)


def test_too_early_is_said_with_how_many_are_needed(early: dict[dt.date, Assessment]) -> None:
    assessment = early[dt.date(2026, 10, 7)]
    states = {team: found.team_state(assessment, team) for team in HONEST}
    assert all(
        state.startswith("too early to say (") and state.endswith(" of 8)") for state in states.values()
    )
