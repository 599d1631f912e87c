"""Teams, for the teacher alone: covered until asked for; findings as evidence, never a score or an order."""

from __future__ import annotations

import datetime as dt
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
from station.views import phrases
from station.views.web import wording
from station.views.web.desk import Desk
from station.views.web.render import back, render, text
from station.views.web.rows import rows

#: So many readings stand beside a finding as its evidence, and so many teams in the first sentence.
EXAMPLES, SUGGESTIONS = 4, 2


@dataclass(frozen=True)
class CoverPage:
    """A closed door: nothing of any team is on it. ``ask`` is the question before it opens."""

    title: str
    ask: str
    open: str
    shown: str


@dataclass(frozen=True)
class Evidence:
    """One finding: what is seen, in how many readings, examples, what else looks the same, what to say."""

    sentence: str
    count: str
    examples: tuple[str, ...]
    looks_like: str
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
    covered: str


def cover(desk: Desk, request: Request) -> Response:
    """Show the closed door; while the class screen is open it asks about the projector first."""
    ask, open_ = wording.COVER_TEXT, wording.COVER_OPEN
    if desk.screens:
        ask, open_ = wording.COVER_PROJECTOR, wording.COVER_PROJECTOR_OFF
    return render(request, "cover.html", CoverPage(wording.TEAMS_TITLE, ask, open_, "/teams/shown"))


def teams(desk: Desk, request: Request) -> Response:
    """Show the teams."""
    found = desk.assessment()
    by_team = {row["team"]: row for row in rows(found.teams)}
    labels = sorted({*desk.settings.teams, *by_team}, key=str.casefold)
    page = TeamsPage(
        title=wording.TEAMS_TITLE,
        suggestion=_suggestion(desk, found),
        separable="" if found.separable else wording.TEAMS_NOT_SEPARABLE,
        teams=tuple(_card(found, team, by_team.get(team)) for team in labels),
        covered="/teams",
    )
    return render(request, "teams.html", page)


def coach(desk: Desk, request: Request, form: FormData) -> Response:
    """Note that a team was coached today: from here on its readings are looked at anew."""
    team, topic = text(form, "team"), text(form, "topic", 80)
    if team not in desk.settings.teams:
        raise BadEntry(wording.CARDS_NO_TEAM)
    desk.book.add_row("coaching", {"team": team, "date": desk.today(), "topic": topic}, "teacher")
    return back("/teams/shown")


def _card(found: Assessment, team: str, row: dict[str, Any] | None) -> TeamCard:
    state = found.findings.team_states.get(team, "too early")
    n = 0 if row is None else int(row["readings"])
    return TeamCard(
        team=team,
        state=wording.STATES[state].format(n=n),
        leans=_leans(row),
        evidence=tuple(_evidence(found, finding) for finding in found.findings.teams.get(team, ())),
        coached=tuple(_coached(found, team)),
    )


def _leans(row: dict[str, Any] | None) -> str:
    if row is None or math.isnan(row["bias"]):
        return wording.TEAMS_LEANS_UNKNOWN
    low, high = row["bias_low"], row["bias_high"]
    if low <= 0.0 <= high:
        return wording.TEAMS_LEANS_NOT.format(span=phrases.between(low, high))
    side = wording.WARM if row["bias"] > 0 else wording.COOL
    return wording.TEAMS_LEANS.format(
        side=side, size=phrases.degrees(abs(row["bias"])), span=phrases.between(low, high)
    )


def _evidence(found: Assessment, finding: Finding) -> Evidence:
    seen = wording.TEAM_KINDS.get(finding.kind, finding.kind.replace("_", " "))
    size = "" if math.isnan(finding.size_c) else phrases.degrees(abs(finding.size_c))
    alike = [wording.TEAM_KIND_NAMES.get(kind, kind.replace("_", " ")) for kind in finding.looks_like]
    return Evidence(
        sentence=seen.format(size=size or wording.TEAMS_SOME_DEGREES),
        count=wording.TEAMS_COUNT.format(n=len(finding.rows)),
        examples=tuple(_examples(found, finding.rows)),
        looks_like=wording.TEAMS_LOOKS_LIKE.format(kinds=phrases.listed(alike)) if alike else "",
        to_say=wording.TEAM_SAY.get(finding.kind, wording.TEAM_SAY_ELSE),
    )


def _examples(found: Assessment, at: Sequence[int]) -> Iterator[str]:
    columns = ["date", "session", "celsius_written", "fahrenheit_written", "thermometer"]
    for date, part, c, f, number in found.readings.iloc[list(at[-EXAMPLES:])][columns].itertuples(
        index=False
    ):
        yield wording.TEAMS_EXAMPLE.format(
            session=phrases.session_name(date, part),
            c=c or phrases.number(None), f=f or phrases.number(None), number=number or phrases.number(None),
        )  # fmt: skip


def _coached(found: Assessment, team: str) -> Iterator[str]:
    changes = {(c.date, c.kind): c for c in found.findings.changes if c.team == team}
    for date in dict.fromkeys(found.frames.table("coaching").query("team == @team")["date"]):
        outcome = [c for (day, _), c in changes.items() if day == date]
        said = [
            wording.TEAMS_CHANGE[c.verdict].format(
                kind=wording.TEAM_KIND_NAMES.get(c.kind, c.kind.replace("_", " "))
            )
            for c in outcome
        ]
        yield wording.TEAMS_COACHED.format(
            day=phrases.day(date), outcome=" ".join(said) or wording.TEAMS_CHANGE_NONE
        )
    pieces = found.segments[found.segments["team"] == team]
    if len(pieces) > 1:
        for row in rows(pieces):
            yield wording.TEAMS_SEGMENT.format(
                first=phrases.day(row["from"]), last=phrases.day(row["to"]),
                size=phrases.degrees(row["bias"], signed=True),
                span=phrases.between(row["bias_low"], row["bias_high"]),
            )  # fmt: skip


def _suggestion(desk: Desk, found: Assessment) -> str:
    """Name at most two teams: those whose finding shows in the latest readings and was not coached since."""
    coached: dict[str, dt.date] = {}
    for team, date in found.frames.table("coaching")[["team", "date"]].itertuples(index=False):
        coached[team] = max(date, coached.get(team, date))
    dates = found.readings["date"]
    latest: list[tuple[int, str]] = []
    for team, findings in found.findings.teams.items():
        shown = [row for finding in findings for row in finding.rows]
        if shown and (team not in coached or dates.iloc[max(shown)] > coached[team]):
            latest.append((max(shown), team))
    chosen = sorted(team for _, team in sorted(latest, reverse=True)[:SUGGESTIONS])
    if not chosen:
        return wording.TEAMS_NOBODY
    said = wording.TEAMS_SUGGESTION_ONE if len(chosen) == 1 else wording.TEAMS_SUGGESTION
    return said.format(teams=phrases.listed(chosen), day=phrases.day(desk.today(), weekday=True))
