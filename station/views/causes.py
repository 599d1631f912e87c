"""The probable causes of one reading in a few words, never surer than they are."""

from __future__ import annotations

from collections.abc import Collection, Mapping

import pandas as pd

from station.assess import Assessment
from station.views import phrases
from station.views import wording_findings as words

#: From this probability on a cause is said.
SAID = 0.8
#: How many kinds are named where it can't be told which.
NAMED = 2


def causes(assessment: Assessment, without: Collection[str] = ()) -> Mapping[int, str]:
    """Return by position of the reading what probably came about; readings without a cause are left out.

    Kinds ``without`` are those said of the session already.
    """
    table = assessment.findings.causes
    table = table[~table["kind"].isin(list(without))]
    said = {row: in_words(table[table["row"] == row]) for row in table["row"].unique().tolist()}
    return {row: text for row, text in said.items() if text}


def in_words(mine: pd.DataFrame) -> str:
    """Return the causes of one reading (``kind, group, probability``, most probable first) in words.

    Kinds that are probable enough stand alone; else the kinds of one group together; else, where surely
    something came about, that it can't be told which.
    """
    sure = mine[mine["probability"] >= SAID].head(NAMED)
    if len(sure):
        parts = sure[["kind", "group", "probability"]].itertuples(index=False, name=None)
        return "; ".join(
            words.ONE_CAUSE.format(kind=_kind(kind, group), percent=_percent(p)) for kind, group, p in parts
        )
    by_group = mine.groupby("group", sort=False)["probability"].sum()
    group, p = by_group.idxmax(), min(float(by_group.max()), 1.0)
    if p >= SAID:
        inside = mine[mine["group"] == group]
        return words.TWO_CAUSES.format(kinds=_either(inside), percent=_percent(p))
    if mine["probability"].sum() >= SAID:
        return words.CANT_TELL.format(kinds=_either(mine))
    return ""


def _either(rows: pd.DataFrame) -> str:
    pairs = rows[["kind", "group"]].head(NAMED).itertuples(index=False, name=None)
    kinds = [_kind(kind, group) for kind, group in pairs]
    return words.OR.format(head=kinds[0], last=kinds[1]) if len(kinds) > 1 else kinds[0]


def _kind(kind: str, group: str) -> str:
    name = words.CAUSES.get(kind) or phrases.kind(kind)
    return words.SIDE_OF[group].format(kind=name) if group in words.SIDE_OF else name


def _percent(p: float) -> str:
    return words.OVER_99 if p > 0.995 else words.PERCENT.format(n=round(100.0 * p))
