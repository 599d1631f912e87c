"""The two scales of the teams whose cards show one kind of slip again and again."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure

from station.assess import Assessment
from station.views import found
from station.views import wording_findings as words
from station.views.plots import lanes, style

ROW_IN, ACROSS = 1.9, 3
REACH_C = 12.5


@style.drawn
def two_scales_of_teams(assessment: Assessment) -> Figure:
    """Draw C - (F - 32)/1.8 [degC] over the days, a panel for each team with a repeated slip.

    A slipped plate's own difference is taken out. The cards that show the slip are diamonds, or triangles at
    the edge where they lie beyond; the stripe is what the marks explain for one card.
    """
    findings = [
        f
        for team in sorted(assessment.findings.teams)
        for f in found.named(assessment, team)
        if found.PICTURE_OF.get(f.kind) == "picture-slips"
    ]
    rows = assessment.readings[assessment.readings["two_scale_difference"].notna()]
    if not findings or rows.empty:
        return style.instead(words.SLIPS_NONE)
    table = assessment.thermometers.set_index("number")
    plate = rows["thermometer"].map(table["scale_difference"].where(table["slipped"], 0.0)).fillna(0.0)
    difference = rows["two_scale_difference"] - plate
    names = [f"{f.subject}: {words.CAUSES[f.kind]}" for f in findings]
    across = min(ACROSS, len(findings))
    figure, place = style.page(
        words.SLIPS_SENTENCE, lanes.room_for(len(findings), across, ROW_IN), words.SLIPS_NOTES
    )
    for axes, finding in zip(lanes.panels(figure, place, names, across, ROW_IN), findings, strict=True):
        mine = rows["team"] == finding.subject
        limit = float(rows.loc[mine, "two_scale_limit"].max())
        x = np.array([date.toordinal() for date in rows.loc[mine, "date"]], dtype=np.float64)
        x += rows.loc[mine].groupby("date").cumcount().to_numpy(np.float64) * 0.4
        lanes.days(axes, list(rows["date"]))
        axes.set_ylim(-REACH_C, REACH_C)
        style.degree_scale(axes, signed=True)
        axes.axhspan(-limit, limit, color=style.STRIPE, linewidth=0.0, zorder=0)
        axes.axhline(0.0, color=style.FAINT, linewidth=0.6, zorder=1)
        shown = np.isin(rows.index[mine], finding.rows)
        lanes.dots(axes, x, difference[mine].to_numpy(np.float64), REACH_C, shown)
    return figure
