"""Teams, for the teacher alone: findings as evidence, never a score or an order."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import Response

from station.assess import Assessment
from station.base.exceptions import BadEntry
from station.findings.kinds import Finding
from station.views import found, phrases
from station.views.suggest import suggestions
from station.views.web import wording
from station.views.web.desk import Desk
from station.views.web.pages.cover import COVER, SHOWN, private
from station.views.web.render import Shown, address, back, render, text
from station.views.web.rows import rows
from station.views.wording import PICTURE_TITLES

#: So many readings stand beside a finding as its evidence.
EXAMPLES = 4


@dataclass(frozen=True)
class Evidence:
    """One finding: what is seen, in how many readings, examples, what looks alike, what to do and to say."""

    sentence: str
    count: str
    examples: tuple[str, ...]
    looks_like: str
    to_do: str
    to_say: str


@dataclass(frozen=True)
class TeamCard:
    """One team: its state in words, what stands behind it, and what coaching changed."""

    team: str
    state: str
    leans: str
    evidence: tuple[Evidence, ...]
    coached: tuple[str, ...]


@dataclass(frozen=True)
class TeamsPage:
    """All teams in the order of the alphabet; at most two are named in the first sentence."""

    title: str
    suggestion: str
    separable: str
    teams: tuple[TeamCard, ...]
    pictures: tuple[Shown, ...]
    covered: str


@private
def teams(desk: Desk, request: Request) -> Response:
    """Show the teams."""
    assessment = desk.assessment()
    by_team = {row["team"]: row for row in rows(assessment.teams)}
    labels = sorted({*desk.settings.teams, *by_team}, key=str.casefold)
    page = TeamsPage(
        title=wording.TEAMS_TITLE,
        suggestion=_suggestion(desk, assessment),
        separable="" if assessment.separable or assessment.readings.empty else wording.TEAMS_NOT_SEPARABLE,
        teams=tuple(_card(assessment, team, by_team.get(team)) for team in labels),
        pictures=() if assessment.readings.empty else tuple(_pictures(assessment)),
        covered=COVER,
    )
    return render(request, "teams.html", page)


def coach(desk: Desk, request: Request, form: FormData) -> Response:
    """Note that a team was coached today: from here on its readings are looked at anew."""
    team, topic = text(form, "team"), text(form, "topic", 80)
    if team not in desk.settings.teams:
        raise BadEntry(wording.CARDS_NO_TEAM)
    desk.book.add_row("coaching", {"team": team, "date": desk.today(), "topic": topic}, "teacher")
    return back(SHOWN)


def _pictures(assessment: Assessment) -> Iterator[Shown]:
    from station.views.plots import called_for

    yield Shown(address("picture-session"), wording.TEAMS_SESSION_PICTURE)
    for key in called_for(assessment):
        yield Shown(address(key), PICTURE_TITLES[key])
    yield Shown(address("picture-teams"), wording.TEAMS_PICTURE)


def _card(assessment: Assessment, team: str, row: dict[str, Any] | None) -> TeamCard:
    return TeamCard(
        team=team,
        state=wording.TEAMS_NO_CARDS if row is None else found.team_state(assessment, team),
        leans=_leans(row),
        evidence=tuple(_evidence(assessment, finding) for finding in found.named(assessment, team)),
        coached=tuple(_coached(assessment, team)),
    )


def _leans(row: dict[str, Any] | None) -> str:
    if row is None or math.isnan(row["bias"]) or row["bias_low"] == row["bias_high"]:
        return wording.TEAMS_LEANS_UNKNOWN  # limits of no width come from a single reading
    low, high = row["bias_low"], row["bias_high"]
    if low <= 0.0 <= high:
        return wording.TEAMS_LEANS_NOT.format(span=phrases.limits(low, high))
    side = wording.WARM if row["bias"] > 0 else wording.COOL
    return wording.TEAMS_LEANS.format(
        side=side, size=phrases.degrees(abs(row["bias"])), span=phrases.limits(low, high)
    )


def _evidence(assessment: Assessment, finding: Finding) -> Evidence:
    told = found.tell(assessment, finding)
    return Evidence(
        sentence=told.sentence,
        count=wording.TEAMS_COUNT.format(n=len(finding.rows)),
        examples=tuple(_examples(assessment, finding.rows)),
        looks_like=told.alike,
        to_do=told.do,
        to_say=told.say,
    )


def _examples(assessment: Assessment, at: Sequence[int]) -> Iterator[str]:
    columns = ["date", "session", "celsius_written", "fahrenheit_written", "thermometer"]
    for date, part, c, f, number in assessment.readings.iloc[list(at[-EXAMPLES:])][columns].itertuples(
        index=False
    ):
        yield wording.TEAMS_EXAMPLE.format(
            session=phrases.session_name(date, part),
            c=c or phrases.number(None), f=f or phrases.number(None), number=number or phrases.number(None),
        )  # fmt: skip


def _coached(assessment: Assessment, team: str) -> Iterator[str]:
    changes = {c.date: c for c in assessment.findings.changes if c.team == team and c.why == "coaching"}
    for date in dict.fromkeys(assessment.frames.table("coaching").query("team == @team")["date"]):
        outcome = wording.TEAMS_CHANGE_NONE
        if date in changes:
            outcome = found.tell_change(changes[date])
        yield wording.TEAMS_COACHED.format(day=phrases.day(date), outcome=outcome)
    pieces = assessment.segments[assessment.segments["team"] == team]
    if len(pieces) > 1:
        for row in rows(pieces):
            yield wording.TEAMS_SEGMENT.format(
                first=phrases.day(row["from"]), last=phrases.day(row["to"]),
                size=phrases.degrees(row["bias"], signed=True),
                span=phrases.limits(row["bias_low"], row["bias_high"]),
            )  # fmt: skip


def _suggestion(desk: Desk, assessment: Assessment) -> str:
    """Name the teams that today's suggestions are about, two at most."""
    if assessment.readings.empty:
        return wording.TEAMS_NO_CARDS_AT_ALL
    labels = set(desk.settings.teams) | set(assessment.teams["team"])
    chosen = sorted({t.finding.subject for t in suggestions(assessment)} & labels)
    if not chosen:
        return wording.TEAMS_NOBODY
    said = wording.TEAMS_SUGGESTION_ONE if len(chosen) == 1 else wording.TEAMS_SUGGESTION
    return said.format(teams=phrases.listed(chosen), day=phrases.day(desk.today(), weekday=True))
