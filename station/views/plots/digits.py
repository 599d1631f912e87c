"""Last digits: who stops at 5 and 10, and who works Fahrenheit out instead of reading it."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pandas as pd
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from station.assess import Assessment
from station.findings.kinds import Finding
from station.views import found, phrases
from station.views import wording_findings as words
from station.views.plots import lanes, style

Floats = npt.NDArray[np.float64]

ROW_IN, ACROSS = 2.1, 2
KINDS = ("rounded", "converted_not_read")
#: Differences of F from the worked-out value that have a bar of their own [degF].
FURTHEST_F = 4


@style.drawn
def last_digits(assessment: Assessment) -> Figure:
    """Draw for each team that rounds or converts how often each last digit, or difference, comes up.

    Full bars are the team's share of its cards, outlined bars everybody else's in the same sessions.
    """
    findings = [
        f
        for team in sorted(assessment.findings.teams)
        for f in found.named(assessment, team)
        if f.kind in KINDS
    ]
    if not findings:
        return style.instead(words.DIGITS_NONE)
    across = min(ACROSS, len(findings))
    sentence = " ".join([words.DIGITS_SENTENCE, *(found.tell(assessment, f).sentence for f in findings)])
    figure, place = style.page(sentence, lanes.room_for(len(findings), across, ROW_IN), words.DIGITS_NOTES)
    names = [f"{f.subject}: {words.CAUSES[f.kind]}" for f in findings]
    rows = assessment.readings
    for axes, finding in zip(lanes.panels(figure, place, names, across, ROW_IN), findings, strict=True):
        mine = rows["team"] == finding.subject
        held = set(rows.loc[mine, ["date", "session"]].itertuples(index=False, name=None))
        together = np.array(
            [key in held for key in rows[["date", "session"]].itertuples(index=False, name=None)]
        )
        _bars(axes, finding, rows[mine], rows[~mine & together])
    return figure


def _bars(axes: Axes, finding: Finding, mine: pd.DataFrame, others: pd.DataFrame) -> None:
    if finding.kind == "rounded":
        on_c = bool(pd.concat([mine["celsius"], others["celsius"]]).notna().any())
        scale, axis = ("celsius", words.DIGITS_AXIS) if on_c else ("fahrenheit", words.DIGITS_AXIS_F)
        places, shown = list(range(10)), {0, 5} if on_c else {0}
        shares = [_share(np.abs(part[scale].dropna()) % 10 // 1, places) for part in (mine, others)]
    else:
        places, axis = list(range(-FURTHEST_F, FURTHEST_F + 1)), words.CONVERTED_AXIS
        shares = [_share(_apart(part).clip(-FURTHEST_F, FURTHEST_F), places) for part in (mine, others)]
        shown = {0}
    for place, own, other in zip(places, *shares, strict=True):
        colour = style.ACCENT if place in shown else style.SOFT
        axes.bar(place - 0.2, 100.0 * own, 0.38, color=colour, linewidth=0.0, zorder=2)
        axes.bar(place + 0.2, 100.0 * other, 0.34, color="none", edgecolor=style.INK, linewidth=0.8, zorder=2)
    axes.set_xticks(places, [phrases.number(place, 0, signed=finding.kind != "rounded") for place in places])
    axes.tick_params(axis="x", length=0)
    axes.set_xlabel(axis, fontsize=8.5)
    axes.annotate(
        words.PERCENT.format(n="").strip(), (0.0, 1.0), xycoords="axes fraction", xytext=(-4, 6),
        textcoords="offset points", ha="right", va="bottom", fontsize=8.5,
    )  # fmt: skip


def _apart(rows: pd.DataFrame) -> pd.Series:
    """Return F minus the whole degrees that C gives when worked out [degF]."""
    worked_out = np.floor(1.8 * rows["celsius"].to_numpy(np.float64) + 32.0 + 0.5)
    return (rows["fahrenheit"] - worked_out).dropna().round()


def _share(values: pd.Series, places: list[int]) -> list[float]:
    return [float((values == place).mean()) if len(values) else 0.0 for place in places]
