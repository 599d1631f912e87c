"""The probable causes of one reading in a few words, never surer than they are."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from station.assess import Assessment
from station.views import phrases
from station.views import wording_findings as words

#: Kind, group, probability.
Cause = tuple[str, str, float]

#: From this probability on a cause is said.
SAID = 0.8
#: How many kinds are named where several stand beside each other.
NAMED = 2


def causes(assessment: Assessment, without: Collection[str] = ()) -> Mapping[int, str]:
    """Return by position of the reading what probably came about; readings without a cause are left out.

    Kinds ``without`` are those said of the session already.
    """
    by_row: dict[int, list[Cause]] = {}
    columns = ["row", "kind", "group", "probability"]
    for row, kind, group, p in assessment.findings.causes[columns].itertuples(index=False, name=None):
        if kind not in without:
            by_row.setdefault(row, []).append((kind, group, p))
    said = {row: in_words(mine) for row, mine in by_row.items()}
    return {row: text for row, text in said.items() if text}


def in_words(mine: Sequence[Cause]) -> str:
    """Return the causes of one reading, most probable first, in words.

    Kinds that are probable enough stand alone; else the kinds of one group together; else, where surely
    something came about, that it can't be told which.
    """
    sure = [cause for cause in mine if cause[2] >= SAID]
    if sure:
        return "; ".join(
            words.ONE_CAUSE.format(kind=_kind(kind, group), percent=_percent(p))
            for kind, group, p in sure[:NAMED]
        )
    shares: dict[str, float] = {}
    for _, group, p in mine:
        shares[group] = shares.get(group, 0.0) + p
    group = max(shares, key=lambda name: shares[name])
    if shares[group] >= SAID:
        inside = [cause for cause in mine if cause[1] == group]
        return words.TWO_CAUSES.format(kinds=_either(inside), percent=_percent(min(shares[group], 1.0)))
    if sum(shares.values()) >= SAID:
        return words.CANT_TELL.format(kinds=_either(mine))
    return ""


def _either(mine: Sequence[Cause]) -> str:
    kinds = [_kind(kind, group) for kind, group, _ in mine[:NAMED]]
    return words.OR.format(head=kinds[0], last=kinds[1]) if len(kinds) > 1 else kinds[0]


def _kind(kind: str, group: str) -> str:
    name = words.CAUSES.get(kind) or phrases.kind(kind)
    return words.SIDE_OF[group].format(kind=name) if group in words.SIDE_OF else name


def _percent(p: float) -> str:
    return words.OVER_99 if p > 0.995 else words.PERCENT.format(n=round(100.0 * p))
