"""One finding in words: to the teacher, with its evidence, what looks alike, what to do, what to say."""

from __future__ import annotations

import math
from dataclasses import dataclass

import pandas as pd

from station.assess import Assessment
from station.findings import changes
from station.findings import teams as team_rules
from station.findings import thermometers as tube_rules
from station.findings.changes import Change
from station.findings.kinds import Finding
from station.views import phrases, wording
from station.views import wording_findings as words

#: Which picture is the evidence of a kind.
PICTURE_OF = {
    "read_too_soon": "picture-gap",
    "bulb_warmed": "picture-gap",
    "eye_line": "picture-grid",
    "thermometer_offset": "picture-grid",
    "scale_plate_slipped": "picture-two-scales",
    "column_separated": "picture-steps",
    "rounded": "picture-last-digit",
    "converted_not_read": "picture-last-digit",
    "scales_swapped": "picture-slips",
    "same_scale_twice": "picture-slips",
    "minus_dropped": "picture-slips",
    "counted_wrong_way": "picture-slips",
    "ten_off": "picture-slips",
    "small_marks": "picture-slips",
    "digits_transposed": "picture-slips",
}
SESSIONS_NAMED = 3


@dataclass(frozen=True)
class Told:
    """A finding in words; ``seen_in`` names the latest sessions that show it and the picture."""

    finding: Finding
    sentence: str
    seen_in: str
    alike: str
    more: str
    do: str
    say: str

    @property
    def details(self) -> tuple[str, ...]:
        """Return what stands below the sentence."""
        return (
            f"{self.seen_in} {self.more}".strip(),
            self.alike,
            words.DO.format(do=self.do),
            words.SAY.format(say=self.say),
        )


def tell(assessment: Assessment, finding: Finding) -> Told:
    """Put one finding of a team or a thermometer into words."""
    own = words.FINDINGS[finding.kind]
    values = _values(assessment, finding)
    rows = assessment.readings.iloc[list(finding.rows)]
    sentence = own.seen.format(**values)
    return Told(
        finding,
        sentence[:1].upper() + sentence[1:] if _of_thermometer(finding) else sentence,
        _seen_in(rows, finding.kind),
        own.alike.format(**values),
        words.MORE_TIME.format(n=finding.more_sessions) if finding.more_sessions else words.SETTLED,
        own.do.format(**values),
        own.say.format(**values),
    )


def short(assessment: Assessment, finding: Finding) -> str:
    """Return a finding in the few words of a table."""
    return words.FINDINGS[finding.kind].short.format(**_values(assessment, finding))


def named(assessment: Assessment, team: str) -> tuple[Finding, ...]:
    """Return what is found of a team, without what could as well be its thermometers."""
    table = assessment.teams
    apart = bool(table.loc[table["team"] == team, "separable"].any())
    found = assessment.findings.teams.get(team, ())
    return tuple(f for f in found if apart or f.group not in team_rules.THERMOMETER_TOO)


def team_state(assessment: Assessment, team: str) -> str:
    """Return the state of a team in words, which may be that it can't be told from its thermometers."""
    row = assessment.teams[assessment.teams["team"] == team].iloc[0]
    found = named(assessment, team)
    if found:
        said = _state(assessment, assessment.findings.team_states[team], found)
        for change in assessment.findings.changes:
            if change.team == team and change.verdict == "helped":
                verdict = (words.AFTER if change.why == "coaching" else words.AFTER_PAIR)["helped"]
                said = words.STATE_AFTER.format(state=said, verdict=verdict, day=phrases.day(change.date))
        return said
    if row["readings"] < team_rules.READINGS:
        return words.TOO_EARLY.format(n=row["readings"], needed=team_rules.READINGS)
    return words.STATES["nothing to see"] if row["separable"] else words.NOT_APART


def thermometer_state(assessment: Assessment, number: str) -> str:
    """Return the state of a thermometer in words."""
    found = assessment.findings.thermometers.get(number, ())
    if found:
        return _state(assessment, assessment.findings.thermometer_states[number], found)
    row = assessment.thermometers[assessment.thermometers["number"] == number].iloc[0]
    mine = assessment.readings[assessment.readings["thermometer"] == number]
    users = mine.loc[mine["indication"].notna(), "team"].nunique()
    if row["readings"] < tube_rules.USES:
        return words.TOO_EARLY.format(n=row["readings"], needed=tube_rules.USES)
    if not row["separable"]:
        return words.NOT_APART
    if users < tube_rules.TEAMS:
        return words.TOO_EARLY_USERS.format(n=users, needed=tube_rules.TEAMS)
    return words.STATES["nothing to see"]


def _state(assessment: Assessment, state: str, found: tuple[Finding, ...]) -> str:
    kinds = phrases.listed([short(assessment, finding) for finding in found])
    return words.STATES[state].format(kinds=kinds)


def _of_thermometer(finding: Finding) -> bool:
    return finding.group == "thermometer"


def _values(assessment: Assessment, finding: Finding) -> dict[str, str]:
    """Return everything that a sentence about a finding may name."""
    readings = assessment.readings
    rows = readings.iloc[list(finding.rows)]
    by = "thermometer" if _of_thermometer(finding) else "team"
    everything = int(readings.loc[readings[by] == finding.subject, "indication"].notna().sum())
    cards = phrases.counted(len(rows), wording.CARD, wording.CARDS)
    if len(rows) < everything:
        cards = words.OF_CARDS.format(n=len(rows), all=everything)
    elif by == "team" and len(rows) > 1:
        cards = words.ALL_CARDS.format(n=len(rows))
    size, up = finding.size_c, finding.size_c > 0
    tube = by == "thermometer"
    limits = ""
    if finding.kind == "thermometer_offset":
        row = assessment.thermometers.set_index("number").loc[finding.subject]
        limits = phrases.span(*sorted((abs(row["offset_low"]), abs(row["offset_high"]))))
    signed = finding.kind in ("scale_plate_slipped", "column_separated")
    amount = phrases.degrees(size if signed else abs(size), signed=signed)
    high, low = (words.HIGH, words.LOW) if tube else (words.ABOVE, words.BELOW)
    return {
        "who": words.NUMBER.format(number=finding.subject) if tube else finding.subject,
        "cards": cards,
        "size": wording.NOTHING if math.isnan(size) else amount,
        "side": high if up else low,
        "warm": words.WARM if up else words.COOL,
        "limits": limits,
        "teams": phrases.counted(rows["team"].nunique(), wording.TEAM, wording.TEAMS),
        "ends": words.ENDS_C if readings["celsius"].notna().any() else words.ENDS_F,
        "day": phrases.day(rows["date"].min()) if len(rows) else wording.NOTHING,
    }  # fmt: skip


def _seen_in(rows: pd.DataFrame, kind: str) -> str:
    """Name the latest sessions and the picture; of what is said of the whole class neither."""
    if kind == "same_numbers":
        return ""
    sessions = list(dict.fromkeys(rows.sort_index()[["date", "session"]].itertuples(index=False, name=None)))
    latest = sorted(sessions, key=lambda session: session[0])[-SESSIONS_NAMED:]
    parts = [words.SEEN_IN.format(sessions=phrases.sessions_listed(latest, SESSIONS_NAMED))] if latest else []
    if kind in PICTURE_OF:
        parts.append(words.SEEN_PICTURE.format(picture=PICTURE_OF[kind]))
    return " ".join(parts)


def tell_change(change: Change) -> str:
    """Say what came of one coaching date or new pair: with its limits, and in how many cards it was seen."""
    coached = change.why == "coaching"
    enough = change.cards_after >= changes.AFTER
    verdict = (words.AFTER if coached else words.AFTER_PAIR)[change.verdict]
    if change.verdict == "too early" and enough:
        verdict = words.AFTER_FEW
    names = {
        "team": change.team,
        "why": words.AFTER_WHY.get(change.why, words.AFTER_OTHER).format(day=phrases.day(change.date)),
        "kind": words.CAUSES[change.kind],
        "verdict": verdict.format(n=change.cards_after, needed=changes.AFTER),
    }
    if change.verdict == "too early" and not enough:
        return words.AFTER_EARLY.format(**names)
    if math.isfinite(change.change_c):
        return words.AFTER_LEAN.format(
            change=phrases.degrees(change.change_c, signed=True),
            limits=phrases.span(change.low_c, change.high_c), **names,
        )  # fmt: skip
    return words.AFTER_SHARE.format(
        before=words.OF_CARDS.format(n=change.shown_before, all=change.cards_before),
        after=words.OF_CARDS.format(n=change.shown_after, all=change.cards_after),
        change=phrases.number(100.0 * change.share, 0, signed=True),
        limits=phrases.span(100.0 * change.share_low, 100.0 * change.share_high, 0), **names,
    )  # fmt: skip


def rows_of(assessment: Assessment, change: Change) -> set[int]:
    """Return the readings of a coached team that show what it was coached about."""
    findings = assessment.findings.teams[change.team]
    return {row for finding in findings if finding.kind == change.kind for row in finding.rows}
