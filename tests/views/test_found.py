"""What is said of single findings, on the small invented class with findings put in."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from typing import Any

import pytest

from station.assess import Assessment
from station.findings.changes import Change
from station.findings.clock import Shift
from station.findings.kinds import GROUPS, Finding
from station.record.model import Thermometer
from station.views import advice, causes, found, suggest, tables, terminal
from station.views import wording_findings as words

OF_THERMOMETERS = ("thermometer_offset", "scale_plate_slipped", "column_separated")


def with_findings(assessment: Assessment, **parts: Any) -> Assessment:
    return replace(assessment, findings=replace(assessment.findings, **parts))


def cards(assessment: Assessment, column: str, subject: str, n: int = 9) -> tuple[int, ...]:
    rows = assessment.readings
    mine = rows.index[(rows[column] == subject) & rows["indication"].notna()]
    return tuple(int(i) for i in mine[-n:])


def of_team(assessment: Assessment, team: str, kind: str, group: str = "", n: int = 9) -> Finding:
    rows = cards(assessment, "team", team, n)
    return Finding(kind, group or GROUPS[kind], team, "worth a look", 0.97, rows, (), 4, 1.2)


def teams(assessment: Assessment, *findings: Finding) -> Assessment:
    by_team: dict[str, tuple[Finding, ...]] = dict.fromkeys(assessment.findings.teams, ())
    states = dict(assessment.findings.team_states)
    for finding in findings:
        by_team[finding.subject] = (*by_team[finding.subject], finding)
        states[finding.subject] = finding.state
    return with_findings(assessment, teams=by_team, team_states=states)


@pytest.mark.parametrize("kind", [k for k in GROUPS if k not in ("clock_shift", "wrong_date")])
def test_every_kind_can_be_told_whole(whole: Assessment, kind: str) -> None:
    subject, column = ("4", "thermometer") if kind in OF_THERMOMETERS else ("Fir", "team")
    finding = Finding(
        kind, GROUPS[kind], subject, "worth a look", 0.9, cards(whole, column, subject), (), 4, 1.2
    )
    told = found.tell(whole, finding)
    for text in (told.sentence, *told.details, found.short(whole, finding)):
        assert text
        assert "{" not in text
        assert "nan" not in text.split()
    assert "4 more sessions would settle it" in told.details[0]
    assert told.sentence[0].isupper()


def test_a_team_is_named_with_its_cards_and_dates(whole: Assessment) -> None:
    told = found.tell(whole, of_team(whole, "Fir", "read_too_soon"))
    assert "9 of 16 cards" in told.sentence
    assert "Fri 16 Oct" not in told.seen_in
    assert "Wed 14 Oct" in told.seen_in
    assert "picture-gap" in told.seen_in


def test_at_most_two_one_thermometer_and_one_team(whole: Assessment) -> None:
    many = teams(
        whole, *(of_team(whole, team, "ten_off", "celsius side") for team in ("Alder", "Elm", "Oak"))
    )
    told = suggest.suggestions(many)
    assert [one.finding.subject for one in told] == ["4", "Alder"]
    assert suggest.waiting(many) == 2
    said = [item.sentence for item in advice.what_to_do(many)]
    assert sum(team in sentence for sentence in said for team in whole.teams["team"]) == 1


def test_what_moves_the_recorded_number_comes_before_the_other_scale_and_habits(whole: Assessment) -> None:
    many = teams(
        whole,
        of_team(whole, "Alder", "rounded"),
        of_team(whole, "Beech", "small_marks", "fahrenheit side"),
        of_team(whole, "Oak", "read_too_soon"),
    )
    assert [one.finding.subject for one in suggest.suggestions(many)] == ["4", "Oak"]
    school = replace(many.settings.school, class_scale="fahrenheit")
    other = replace(many, settings=replace(many.settings, school=school))
    assert [one.finding.subject for one in suggest.suggestions(other)] == ["4", "Beech"]


def test_a_thermometer_at_rest_is_asked_about_no_more(whole: Assessment) -> None:
    resting = {"4": Thermometer(number="4", accuracy_c=1.0, retired=dt.date(2026, 10, 14))}
    rested = replace(whole, settings=replace(whole.settings, exceptions=resting))
    assert suggest.suggestions(rested) == []
    assert "at rest from 14 Oct" in " ".join(terminal.page(rested).split())


@pytest.mark.parametrize(("verdict", "asked"), [("helped", False), ("too early", False), ("not yet", True)])
def test_after_coaching_a_team_is_asked_about_only_where_it_did_not_help_yet(
    whole: Assessment, verdict: str, asked: bool
) -> None:
    nan = float("nan")
    change = Change(
        "Fir", dt.date(2026, 10, 12), "coaching", "eye_line", verdict, -0.8, -1.1, -0.5, cards_after=9
    )
    if verdict == "too early":
        change = replace(change, change_c=nan, low_c=nan, high_c=nan, cards_after=3)
    coached = with_findings(teams(whole, of_team(whole, "Fir", "eye_line")), changes=(change,))
    named = [one.finding.subject for one in suggest.suggestions(coached)]
    assert ("Fir" in named) == asked
    page = " ".join(terminal.page(coached).split())
    assert "Fir, coached on 12 Oct" in page
    assert words.AFTER[verdict].split("{")[0] in page
    assert ("(−1.1 to −0.5)" in page) == (verdict != "too early")


def test_a_share_that_changed_is_told_by_its_cards_and_limits() -> None:
    nan = float("nan")
    change = Change(
        "Oak", dt.date(2026, 10, 12), "coaching", "scales_swapped", "helped", nan, nan, nan,
        -0.21, -0.4, -0.05, 5, 20, 0, 15,
    )  # fmt: skip
    sentence = found.tell_change(change)
    assert (
        "helped. Seen in 5 of 20 cards before and 0 of 15 cards after: −21 in 100 cards (−40 to −5)"
        in sentence
    )
    early = found.tell_change(replace(change, verdict="too early"))
    assert "too early to say (gone in 15 cards" in early


@pytest.mark.parametrize(("verdict", "said"), [("helped", "less"), ("not yet", "still there")])
def test_a_new_pair_is_not_said_to_be_helped(whole: Assessment, verdict: str, said: str) -> None:
    change = Change(
        "Fir", dt.date(2026, 10, 12), "new pair", "eye_line", verdict, -0.8, -1.1, -0.5, cards_after=9
    )
    shown = with_findings(teams(whole, of_team(whole, "Fir", "eye_line")), changes=(change,))
    page = " ".join(terminal.page(shown).split())
    assert f"Fir, a new pair since 12 Oct (eye line): {said}." in page
    assert ("less since 12 Oct" in found.team_state(shown, "Fir")) == (verdict == "helped")
    assert words.AFTER_SAY_PAIR[verdict] in page


def test_what_a_team_did_long_ago_waits_in_the_tables(whole: Assessment) -> None:
    old = replace(of_team(whole, "Elm", "scales_swapped"), rows=cards(whole, "team", "Elm", 16)[:3])
    shown = teams(whole, old)
    assert "Elm" not in [one.finding.subject for one in suggest.suggestions(shown)]
    assert found.team_state(shown, "Elm") == "worth a look: C and F swapped"


def test_nobody_is_named_for_what_may_be_the_thermometer(tangled: Assessment) -> None:
    shown = teams(
        tangled,
        of_team(tangled, "Fir", "eye_line"),
        of_team(tangled, "Oak", "small_marks", "fahrenheit side"),
    )
    assert suggest.suggestions(shown) == []
    page = terminal.page(shown)
    assert found.team_state(shown, "Fir") == words.NOT_APART
    assert found.team_state(shown, "Oak") == words.NOT_APART
    assert "Fir seems" not in page
    assert tables.tables(shown)["table-findings"].empty


def test_slips_are_said_even_where_thermometers_are_not_told_apart(tangled: Assessment) -> None:
    shown = teams(tangled, of_team(tangled, "Fir", "scales_swapped"))
    assert [one.finding.subject for one in suggest.suggestions(shown)] == ["Fir"]


def test_alike_cards_are_said_of_the_class_and_of_no_team(whole: Assessment) -> None:
    rows = (*cards(whole, "team", "Fir"), *cards(whole, "team", "Oak"))
    shared = with_findings(whole, sharing=Finding("same_numbers", "sharing", "", "worth a look", 0.99, rows))
    (item,) = [i for i in advice.what_to_do(shared) if "alike more often than chance" in i.sentence]
    text = " ".join((item.sentence, *item.details))
    assert not any(team in text for team in whole.teams["team"])
    (row,) = tables.tables(shared)["table-findings"].query("about == 'class'").to_dict("records")
    assert not any(team in str(value) for value in row.values() for team in whole.teams["team"])
    assert not any(day in str(row["lately"]) for day in ("Oct", "Nov"))


@pytest.mark.parametrize(
    ("minutes", "amount"),
    [
        (-60.0, "an hour earlier"),
        (60.0, "an hour later"),
        (-120.0, "2 hours earlier"),
        (30.0, "30 minutes later"),
    ],
)
def test_the_clock_is_asked_with_the_lines_to_add(whole: Assessment, minutes: float, amount: str) -> None:
    shift = Shift(dt.date(2026, 10, 6), dt.date(2026, 10, 9), minutes, 0.99, 30.0)
    first = advice.what_to_do(with_findings(whole, clock=(shift,)))
    (item,) = [item for item in first if "clock" in item.sentence]
    assert amount in item.sentence
    assert "Nothing was shifted" in " ".join(item.details)
    assert item.lines[-1] == f"shift_minutes = {minutes:.0f}"


@pytest.mark.parametrize(
    ("rows", "expected"),
    [
        ((("ten_off", "celsius side", 0.97),), "a numbered mark off, Celsius (97 %)"),
        ((("scales_swapped", "entry", 0.9999),), "C and F swapped (over 99 %)"),
        (
            (("ten_off", "celsius side", 0.5), ("counted_wrong_way", "celsius side", 0.4)),
            "a numbered mark off, Celsius or counted the other way, Celsius (90 %)",
        ),
        (
            (("thermometer_offset", "thermometer", 0.6), ("bulb_warmed", "column", 0.3)),
            "can't tell: the thermometer reads off or bulb warmed",
        ),
        (
            (("wrong_half_day", "entry", 0.98), ("scales_swapped", "entry", 0.9)),
            "typed under the other half-day (98 %); C and F swapped (90 %)",
        ),
        ((("bulb_warmed", "column", 0.4), ("in_the_sun", "column", 0.2)), ""),
    ],
)
def test_causes_are_never_surer_than_they_are(rows: Any, expected: str) -> None:
    assert causes.in_words(rows) == expected


def test_whole_class_is_named_before_anybody(whole: Assessment) -> None:
    notes = [("whole_class",) if i == 3 else kinds for i, kinds in enumerate(whole.sessions["notes"])]
    sessions = whole.sessions.assign(notes=notes)
    many = replace(teams(whole, of_team(whole, "Alder", "ten_off", "celsius side")), sessions=sessions)
    said = [item.sentence for item in advice.what_to_do(many)]
    place = next(i for i, s in enumerate(said) if "Nearly all teams" in s)
    assert place < next(i for i, s in enumerate(said) if "Alder" in s)
    assert "Nobody is named from this session" in said[place]
