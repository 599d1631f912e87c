"""Error against the gap between classroom and air: reading too soon grows with it, a warm hand does not."""

from __future__ import annotations

import numpy as np
import pandas as pd
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from station.assess import Assessment
from station.findings.habits import robust_line
from station.findings.kinds import Finding
from station.views import found, phrases
from station.views import wording_findings as words
from station.views.plots import lanes, style

ROW_IN, ACROSS = 2.9, 2
KINDS = ("read_too_soon", "bulb_warmed")
FURTHEST_C = 8.0


@style.drawn
def error_against_gap(assessment: Assessment) -> Figure:
    """Draw the errors of each team found to read too soon or warm the bulb against the gap, degrees Celsius.

    The thermometer's offset and what all share are taken out; faint dots are everybody else's. The line is
    the fit through the readings that show it.
    """
    rows = assessment.readings
    y = rows["error_without_offset"] - assessment.common.value
    gap = assessment.settings.sessions.indoor_c - rows["reference"]
    known = y.notna() & gap.notna() & ~lanes.in_doubt(assessment)
    findings = [
        f
        for team in sorted(assessment.findings.teams)
        for f in found.named(assessment, team)
        if f.kind in KINDS
    ]
    if not findings or not known.any():
        return style.instead(words.GAP_NONE)
    told = [_told(finding, y, gap, known) for finding in findings]
    figure, place = style.page(
        " ".join([words.GAP_SENTENCE, *told]), lanes.room_for(len(findings), ACROSS, ROW_IN), words.GAP_NOTES
    )
    names = [f"{f.subject}: {words.CAUSES[f.kind]}" for f in findings]
    for axes, finding in zip(lanes.panels(figure, place, names, ACROSS, ROW_IN), findings, strict=True):
        _panel(axes, finding, rows["team"], y, gap, known)
    return figure


def _line(finding: Finding, y: pd.Series, gap: pd.Series, known: pd.Series) -> tuple[float, float] | None:
    rows = [row for row in finding.rows if known[row]]
    fit = robust_line(gap[rows].to_numpy(np.float64), y[rows].to_numpy(np.float64))
    return None if fit is None else fit[:2]


def _told(finding: Finding, y: pd.Series, gap: pd.Series, known: pd.Series) -> str:
    line = _line(finding, y, gap, known) if finding.kind == "read_too_soon" else None
    if line is None:
        return words.GAP_WARMED.format(team=finding.subject)
    rise = phrases.degrees(10.0 * line[1], signed=True)
    return words.GAP_SOON.format(team=finding.subject, rise=rise, gap=phrases.degrees(10.0, 0))


def _panel(
    axes: Axes, finding: Finding, team: pd.Series, y: pd.Series, gap: pd.Series, known: pd.Series
) -> None:
    mine = (team == finding.subject) & known
    other = (team != finding.subject) & known & (y.abs() <= FURTHEST_C)
    axes.scatter(
        gap[other], y[other], s=5, color=style.STRIPE, edgecolor=style.FAINT, linewidth=0.2, zorder=1
    )
    shown = np.isin(y.index[mine], finding.rows) & (finding.kind == "bulb_warmed")
    lanes.dots(axes, gap[mine].to_numpy(np.float64), y[mine].to_numpy(np.float64), FURTHEST_C, shown)
    axes.axhline(0.0, color=style.FAINT, linewidth=0.6, zorder=2)
    low, high = float(gap[known].min()), float(gap[known].max())
    line = _line(finding, y, gap, known) if finding.kind == "read_too_soon" else None
    if line is not None:
        ends = np.array([max(low, 0.0), high])
        axes.plot(ends, line[0] + line[1] * ends, color=style.ACCENT, linewidth=1.6, zorder=5)
    axes.set_xlim(low - 0.5, high + 0.5)
    largest = float(y[mine].abs().clip(upper=FURTHEST_C).max()) if mine.any() else 0.0
    axes.set_ylim(-max(largest / 2.0, 2.0), max(largest * 1.12, 2.0))
    style.degree_scale(axes, signed=True)
    axes.set_xlabel(words.GAP_AXIS, fontsize=8.5)
