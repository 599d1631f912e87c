"""One session: every team's dot with its thermometer's stripe, and the probe's own stripe across."""

from __future__ import annotations

import math

import pandas as pd
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from station.assess import Assessment
from station.record.model import Session
from station.reference.value import Reference
from station.views import advice, phrases, wording
from station.views.plots import style

ROOM_IN = 3.9
#: Dots further than this from the middle one are marked at the edge of the scale [degC].
FURTHEST_C = 6.0
#: The reference and its stripe are shown up to this far from the middle one [degC].
REFERENCE_FURTHEST_C = 10.0
STRIPE_WIDE = 0.34
#: Room for the words beside the reference, as a share of the lanes.
LABEL_LANES = 0.13


@style.drawn
def session_dots(assessment: Assessment, session: Session | None = None) -> Figure:
    """Draw one session, by default the latest that nothing puts in doubt: a dot a team on one scale [degC].

    Behind each dot stands the stripe its thermometer promises; across all lies the reference with its
    expanded uncertainty, hatched. Dots whose stripe, half a mark and the probe's doubt leave the verdict
    open are hollow, those outside are diamonds with their error; where most are off the same way, none is
    singled out.
    """
    session = session or advice.latest_undoubted(assessment)
    if session is None:
        return style.instead(wording.SESSION_NO_READINGS)
    rows = assessment.readings
    rows = rows[(rows["date"] == session.date) & (rows["session"] == session.part)]
    rows = rows[rows["indication"].notna()].sort_values("team", kind="stable")
    if rows.empty:
        return style.instead(wording.SESSION_NO_READINGS)
    reference = assessment.budgets.get(session)
    figure, place = style.page(_sentence(rows, assessment, session), ROOM_IN, wording.SESSION_NOTES)
    axes = figure.add_axes(place)
    middle = float(rows["indication"].median())
    low, high = _reach(rows, middle, reference)
    axes.set_ylim(low, high)
    axes.set_xlim(-0.7, len(rows) - 0.5 + LABEL_LANES * len(rows))
    style.degree_scale(axes, signed=False)
    style.lane_names(axes, list(rows["team"]))
    if reference is not None:
        _reference(axes, reference.value_c, reference.expanded_c, len(rows))
    _dots(axes, rows, low, high, single_out=not advice.off_together(rows))
    return figure


def _sentence(rows: pd.DataFrame, assessment: Assessment, session: Session) -> str:
    name = phrases.session_name(session.date, session.part)
    low, high = float(rows["indication"].min()), float(rows["indication"].max())
    parts = [wording.SESSION_SENTENCE.format(session=name, n=len(rows), span=phrases.degree_span(low, high))]
    reference = assessment.budgets.get(session)
    if reference is None:
        parts.append(wording.SESSION_NO_REFERENCE)
    else:
        parts.append(
            wording.SESSION_REFERENCE.format(
                value=phrases.degrees(reference.value_c), expanded=phrases.degrees(reference.expanded_c)
            )
        )
    notes = advice.notes_of(assessment, session)
    if notes and reference is not None:
        parts.append(wording.LATEST_NOTED.format(kinds="; ".join(map(phrases.kind, notes))))
    if advice.off_together(rows):
        parts.append(wording.OFF_TOGETHER)
    return " ".join(parts)


def _reach(rows: pd.DataFrame, middle: float, reference: Reference | None) -> tuple[float, float]:
    """Return the ends of the scale: everything near the middle one, whole degrees, a little air."""
    near = rows[(rows["indication"] - middle).abs() <= FURTHEST_C]
    band = near["band"].fillna(0.0)
    low = float((near["indication"] - band).min())
    high = float((near["indication"] + band).max())
    if reference is not None:
        value, expanded = reference.value_c, reference.expanded_c
        low = min(low, max(value - expanded, middle - REFERENCE_FURTHEST_C))
        high = max(high, min(value + expanded, middle + REFERENCE_FURTHEST_C))
    return math.floor(low - 0.3), math.ceil(high + 0.3)


def _reference(axes: Axes, value: float, expanded: float, lanes: int) -> None:
    axes.add_patch(
        Rectangle(
            (-0.7, value - expanded), lanes + 0.2, 2 * expanded,
            facecolor="none", edgecolor=style.PROBE, hatch=style.HATCH, linewidth=0.0, alpha=0.75, zorder=1,
        )
    )  # fmt: skip
    axes.hlines(value, -0.7, lanes - 0.5, color=style.PROBE, linewidth=1.4, zorder=2)
    axes.text(
        lanes - 0.42, value, wording.PROBE_LABEL.format(value=phrases.degrees(value)),
        ha="left", va="center", fontsize=8.5, color=style.PROBE, zorder=6,
        bbox={"facecolor": style.PAPER, "edgecolor": "none", "pad": 1.5},
    )  # fmt: skip


def _dots(axes: Axes, rows: pd.DataFrame, low: float, high: float, *, single_out: bool) -> None:
    columns = ["indication", "band", "verdict", "error"]
    for lane, (value, band, verdict, error) in enumerate(rows[columns].itertuples(index=False)):
        if not low <= value <= high:
            top = value > high
            axes.scatter(
                lane, high - 0.12 if top else low + 0.12, marker="^" if top else "v", s=34,
                facecolor=style.PAPER, edgecolor=style.INK, linewidth=0.9, zorder=4, clip_on=False,
            )  # fmt: skip
            axes.annotate(
                phrases.number(value), (lane, high - 0.12 if top else low + 0.12), xytext=(7, 0),
                textcoords="offset points", va="center", fontsize=8.5,
            )  # fmt: skip
            continue
        if not math.isnan(band):
            style.stripe(axes, lane, STRIPE_WIDE, value - band, value + band)
        if verdict == "outside" and single_out:
            axes.scatter(lane, value, marker="D", s=38, color=style.ACCENT, linewidth=0, zorder=5)
            axes.annotate(
                phrases.number(error, signed=True), (lane, value), xytext=(7, 0), textcoords="offset points",
                va="center", fontsize=8.5,
                bbox={"facecolor": style.PAPER, "edgecolor": "none", "pad": 0.8}, zorder=5,
            )  # fmt: skip
        else:
            hollow = verdict != "inside"
            axes.scatter(
                lane, value, s=36, facecolor=style.PAPER if hollow else style.INK,
                edgecolor=style.INK, linewidth=1.1, zorder=5,
            )  # fmt: skip
