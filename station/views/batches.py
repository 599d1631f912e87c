"""Cards that seem typed under another half-day or date: a question about piles and dates, never a move."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from station.assess import Assessment
from station.views import phrases, wording
from station.views import wording_findings as words


def told(assessment: Assessment) -> list[tuple[str, tuple[str, ...]]]:
    """Return a sentence and its details for each batch, in order of time: crossed days, then dates."""
    return [*_crossed(assessment), *_dates(assessment)]


def _crossed(assessment: Assessment) -> Iterator[tuple[str, tuple[str, ...]]]:
    own = words.FINDINGS["wrong_half_day"]
    for date in sorted({_date(m.typed) for m in assessment.findings.moves if m.kind == "wrong_half_day"}):
        yield own.seen.format(who=phrases.day(date, weekday=True)), _details(own)


def _dates(assessment: Assessment) -> Iterator[tuple[str, tuple[str, ...]]]:
    own = words.FINDINGS["wrong_date"]
    moves: dict[tuple[dt.date, dt.date], list[int]] = {}
    for match in assessment.findings.moves:
        if match.kind == "wrong_date":
            moves.setdefault((_date(match.typed), _date(match.true)), []).extend(match.rows)
    for (typed, true), rows in sorted(moves.items()):
        teams = sorted(set(assessment.readings["team"].iloc[rows]))
        sentence = own.seen.format(
            cards=phrases.counted(len(rows), wording.CARD, wording.CARDS),
            who=words.TYPED_UNDER.format(teams=phrases.listed(teams), day=phrases.day(typed, weekday=True)),
            where=phrases.day(true, weekday=True),
        )
        yield sentence, _details(own)


def _details(own: words.Words) -> tuple[str, ...]:
    return own.alike, words.DO.format(do=own.do), words.SAY.format(say=own.say)


def _date(key: tuple[object, str]) -> dt.date:
    assert isinstance(key[0], dt.date)
    return key[0]
