"""Which two findings of a team or a thermometer are worth a word today; the rest wait in the tables."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from station.assess import Assessment
from station.findings.kinds import Finding
from station.views import found
from station.views import wording_findings as words

MOST = 2
#: A team's latest cards that say whether something still goes on.
LATEST_CARDS = 10


def suggestions(assessment: Assessment) -> list[found.Told]:
    """Return at most ``MOST`` findings in words: one thermometer and one team where both wait."""
    return [found.tell(assessment, finding) for finding in _chosen(assessment)]


def waiting(assessment: Assessment) -> int:
    """Return how many findings wait for another day."""
    return len(_tubes(assessment)) + len(_teams(assessment)) - len(_chosen(assessment))


def after_coaching(assessment: Assessment) -> list[tuple[str, str]]:
    """Return what came of each coaching or new pair, in the order of the alphabet: a sentence, one to say."""
    out = []
    for change in sorted(assessment.findings.changes, key=lambda c: (c.team, c.date)):
        say = words.AFTER_SAY if change.why == "coaching" else words.AFTER_SAY_PAIR
        out.append((found.tell_change(change), say[change.verdict]))
    return out


def _chosen(assessment: Assessment) -> list[Finding]:
    tubes, teams = _tubes(assessment), _teams(assessment)
    first = [*tubes[:1], *teams[:1]]
    return [*first, *tubes[1:], *teams[1:]][:MOST]


def _tubes(assessment: Assessment) -> list[Finding]:
    """Return the thermometers in use that need a look: offsets before plates, the furthest off first."""
    last = _last_day(assessment)
    waiting: list[Finding] = []
    for number, findings in assessment.findings.thermometers.items():
        retired = assessment.settings.thermometer(number).retired
        if retired is None or last is None or retired > last:
            waiting += findings
    return sorted(waiting, key=lambda f: (f.kind == "scale_plate_slipped", -abs(f.size_c), f.subject))


def _teams(assessment: Assessment) -> list[Finding]:
    """Return what teams still do: what moves the class's own numbers first, then what shows most lately."""
    waiting = [
        (_weight(assessment, finding), -share, finding.subject, finding.kind, finding)
        for finding in _uncoached(assessment)
        if (share := _share_lately(assessment, finding)) > 0.0
    ]
    return [entry[-1] for entry in sorted(waiting, key=lambda entry: entry[:-1])]


def _weight(assessment: Assessment, finding: Finding) -> int:
    """Return 0 for what moves the number that the class records, 1 for the other scale, 2 for a habit."""
    if finding.group == "habit":
        return 2
    scale = assessment.settings.school.class_scale
    return int(finding.group.endswith(" side") and scale != "both" and not finding.group.startswith(scale))


def _uncoached(assessment: Assessment) -> Iterator[Finding]:
    """Yield findings of teams, without those coached about that help already or are too new to tell."""
    settled = {(c.team, c.kind) for c in assessment.findings.changes if c.verdict != "not yet"}
    for team in assessment.findings.teams:
        for finding in found.named(assessment, team):
            if (team, finding.kind) not in settled:
                yield finding


def _share_lately(assessment: Assessment, finding: Finding) -> float:
    rows = assessment.readings
    mine = rows[(rows["team"] == finding.subject) & rows["indication"].notna()]
    latest = mine.sort_values("date", kind="stable").index[-LATEST_CARDS:]
    return len(set(latest) & set(finding.rows)) / len(latest) if len(latest) else 0.0


def _last_day(assessment: Assessment) -> dt.date | None:
    days: list[dt.date] = list(assessment.sessions["date"])
    return days[-1] if days else None
