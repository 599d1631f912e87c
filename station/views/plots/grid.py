"""Team by thermometer, to see whether something goes with the thermometer or with the team."""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt
import pandas as pd
from matplotlib.axes import Axes
from matplotlib.collections import PatchCollection
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from station.assess import Assessment
from station.findings.kinds import Finding
from station.views import phrases
from station.views import wording_findings as words
from station.views.plots import style
from station.views.plots.lanes import lean_of

Floats = npt.NDArray[np.float64]

#: What puts a whole row on one side.
LEANS = ("eye_line", "read_too_soon")
ROW_IN = 0.37
#: Half the height of a cell in degrees Celsius; bars beyond end at its edge.
REACH_C = 2.5
#: Share of a cell that its bar may use.
HIGH, WIDE = 0.48, 0.34


@style.drawn
def team_thermometer_grid(assessment: Assessment) -> Figure:
    """Draw in each cell how far one team's readings with one thermometer lie from the class, degrees Celsius.

    A column of bars on one side goes with the thermometer, a row of bars with the team; those found carry
    their size.
    """
    tubes, leans = _found(assessment)
    cells = _cells(assessment, leans)
    if cells.empty or not assessment.separable:
        return style.instead(words.GRID_NONE)
    numbers = [n for n in assessment.thermometers["number"] if n in set(cells["thermometer"])]
    teams = sorted(cells["team"].unique())
    figure, place = style.page(_sentence(cells, tubes, leans), ROW_IN * len(teams) + 0.3, words.GRID_NOTES)
    axes = figure.add_axes(place)
    axes.set_xlim(-0.7, len(numbers) + 0.3)
    axes.set_ylim(len(teams) - 0.4, -0.9)
    _frame(axes, numbers, teams)
    band = float(assessment.readings["band"].median())
    for number, finding in tubes.items():
        _label(axes, numbers.index(number), -0.68, finding.size_c, "center")
    for team, finding in leans.items():
        _label(axes, len(numbers) - 0.45, teams.index(team), finding.size_c, "left")
    lane = cells["thermometer"].map({number: i for i, number in enumerate(numbers)}).to_numpy(np.float64)
    row = cells["team"].map({team: i for i, team in enumerate(teams)}).to_numpy(np.float64)
    far = (cells["thermometer"].isin(list(tubes)) | cells["team"].isin(list(leans))).to_numpy()
    _bars(axes, lane, row, cells["value"].to_numpy(np.float64), far, band)
    return figure


def _cells(assessment: Assessment, leans: dict[str, Finding]) -> pd.DataFrame:
    """Return the middle of each team's readings with each thermometer [degC], session and slips out.

    Of a team that was found only the readings that show it count, so not those after coaching.
    """
    rows = assessment.readings
    value = rows["rest"] + rows["offset"] + lean_of(assessment)
    shown = {row for finding in leans.values() for row in finding.rows}
    counts = ~rows["team"].isin(list(leans)) | rows.index.isin(shown)
    used = (rows["thermometer"] != "") & value.notna() & ~rows["slip"].astype(bool) & counts
    middle = value[used].groupby([rows["team"], rows["thermometer"]]).median()
    return middle.rename("value").reset_index()


def _found(assessment: Assessment) -> tuple[dict[str, Finding], dict[str, Finding]]:
    findings = assessment.findings
    tubes = {
        number: finding
        for number, found in findings.thermometers.items()
        for finding in found
        if finding.kind == "thermometer_offset"
    }
    leans = {
        team: finding for team, found in findings.teams.items() for finding in found if finding.kind in LEANS
    }
    return tubes, leans


def _sentence(cells: pd.DataFrame, tubes: dict[str, Finding], leans: dict[str, Finding]) -> str:
    parts = [words.GRID_SENTENCE]
    for by, found in (("thermometer", tubes), ("team", leans)):
        for subject, finding in found.items():
            mine = cells.loc[cells[by] == subject, "value"]
            values = {
                "size": phrases.degrees(finding.size_c, signed=True),
                "n": int((mine * finding.size_c > 0.0).sum()),
                "all": len(mine),
            }
            if by == "team":
                parts.append(words.GRID_TEAM.format(team=subject, **values))
            else:
                parts.append(words.GRID_TUBE.format(number=subject, **values))
    return " ".join(parts)


def _frame(axes: Axes, numbers: list[str], teams: list[str]) -> None:
    for side in axes.spines.values():
        side.set_visible(False)
    axes.tick_params(length=0)
    axes.set_xticks(range(len(numbers)), numbers)
    axes.set_yticks(range(len(teams)), teams)


def _bars(
    axes: Axes, lane: Floats, row: Floats, value: Floats, far: npt.NDArray[np.bool_], band: float
) -> None:
    """Draw every cell: its stripe, its zero and its bar; those of what was found as accent diamonds."""
    scale = HIGH / REACH_C
    if not math.isnan(band):
        high = min(band, REACH_C) * scale
        stripes = [
            Rectangle((x - WIDE, y - high), 2 * WIDE, 2 * high) for x, y in zip(lane, row, strict=True)
        ]
        axes.add_collection(PatchCollection(stripes, facecolor=style.STRIPE, linewidth=0.0, zorder=0))
    axes.hlines(row, lane - WIDE, lane + WIDE, color=style.FAINT, linewidth=0.5, zorder=1)
    end = row - np.clip(value, -REACH_C, REACH_C) * scale
    for mine, colour, wide, size, marker in (
        (~far, style.INK, 1.4, 7, "o"),
        (far, style.ACCENT, 2.4, 13, "D"),
    ):
        axes.vlines(lane[mine], row[mine], end[mine], color=colour, linewidth=wide, zorder=2)
        axes.scatter(lane[mine], end[mine], s=size, marker=marker, color=colour, linewidth=0, zorder=3)


def _label(axes: Axes, x: float, y: float, value: float, align: str) -> None:
    axes.text(x, y, phrases.number(value, signed=True), ha=align, va="center", fontsize=8.5, color=style.INK)
