"""What teams and thermometers add to a reading, and what all share."""

from __future__ import annotations

import math

import pandas as pd

from station.assess import Assessment
from station.views import advice, found, phrases, suggest, wording
from station.views import wording_findings as words
from station.views.layout import heading, table, wrapped


def teams(assessment: Assessment, width: int) -> list[str]:
    """Return every team in the order of the alphabet, and its segments where something changed."""
    if assessment.teams.empty:
        return []
    lines = heading(wording.TEAMS_TITLE)
    if not assessment.separable:
        lines += wrapped(wording.TEAMS_APART, width)
    cells: list[tuple[str, ...]] = []
    columns = ["team", "readings", "bias", "bias_low", "bias_high", "spread"]
    for team, n, bias, low, high, spread in (
        assessment.teams.sort_values("team")[columns].itertuples(index=False)
    ):  # fmt: skip
        cells.append(
            (
                team, str(n), phrases.number(bias, signed=True), phrases.span(low, high),
                phrases.number(spread), found.team_state(assessment, team),
            )
        )  # fmt: skip
        pieces = assessment.segments[assessment.segments["team"] == team]
        if len(pieces) > 1:
            cells += _pieces(pieces)
    return [
        *lines,
        *table(wording.TEAMS_COLUMNS, cells, words=(0, 5), width=width),
        *wrapped(wording.TEAMS_NOTE, width),
    ]


def _pieces(pieces: pd.DataFrame) -> list[tuple[str, ...]]:
    """Return one row a segment of a team, under its own row."""
    cells: list[tuple[str, ...]] = []
    columns = ["from", "to", "change", "readings", "bias", "bias_low", "bias_high"]
    for start, end, change, n, bias, low, high in pieces[columns].itertuples(index=False):
        since = wording.TEAMS_CHANGE if change else wording.TEAMS_FIRST
        span = since.format(day=phrases.day(start if change else end))
        after = wording.TEAMS_AFTER.format(change=change) if change else ""
        cells.append((span, str(n), phrases.number(bias, signed=True), phrases.span(low, high), "", after))
    return cells


def after_coaching(assessment: Assessment, width: int) -> list[str]:
    """Return what came of coaching, one team after the other."""
    told = suggest.after_coaching(assessment)
    if not told:
        return []
    lines = heading(words.AFTER_TITLE)
    for sentence, say in told:
        lines += wrapped(f"{sentence} {words.SAY.format(say=say)}", width)
    return [*lines, *wrapped(words.AFTER_NOTE, width)]


def thermometers(assessment: Assessment, width: int) -> list[str]:
    """Return every number of the box: how much it reads high, its promise, its two scales."""
    rows = assessment.thermometers
    if rows.empty:
        return []
    beyond = set(rows["number"][advice.beyond_promise(rows)])
    cells = []
    columns = ["number", "readings", "offset", "offset_low", "offset_high", "band", "scale_difference"]
    for number, n, offset, low, high, band, difference in rows[columns].itertuples(index=False):
        retired = assessment.settings.thermometer(number).retired
        noted = [
            found.thermometer_state(assessment, number),
            wording.BOX_NOTED_BEYOND if number in beyond else "",
            "" if retired is None else wording.BOX_NOTED_RETIRED.format(day=phrases.day(retired)),
        ]
        cells.append(
            (
                number, str(n), phrases.number(offset, signed=True), phrases.span(low, high),
                wording.NOTHING if math.isnan(band) else f"±{phrases.number(band)}",
                phrases.number(difference, signed=True), ", ".join(w for w in noted if w),
            )
        )  # fmt: skip
    checked = not assessment.frames.table("checks")["kind"].str.startswith("probe ").all()
    note = wording.BOX_NOTE.format(zero=wording.BOX_ZERO_CHECK if checked else wording.BOX_ZERO_CLASS)
    return [
        *heading(wording.BOX_TITLE),
        *table(wording.BOX_COLUMNS, cells, words=(0, 6), width=width),
        *wrapped(note, width),
    ]


def common(assessment: Assessment, width: int) -> list[str]:
    """Return what all readings share against the probe."""
    shared = assessment.common
    if assessment.readings.empty:
        return []
    lines = heading(wording.COMMON_TITLE)
    if math.isnan(shared.value):
        return [*lines, *wrapped(wording.COMMON_NONE, width)]
    on = wording.COMMON_ON if round(abs(shared.value), 1) == 0 else wording.COMMON
    sentence = on.format(
        value=phrases.degrees(abs(shared.value)),
        side=wording.COMMON_ABOVE if shared.value >= 0 else wording.COMMON_BELOW,
        span=phrases.span(shared.low, shared.high),
    )
    off = shared.low > 0 or shared.high < 0
    return [*lines, *wrapped(f"{sentence} {wording.COMMON_OFF if off else wording.COMMON_ZERO}", width)]
