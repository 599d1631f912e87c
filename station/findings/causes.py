"""The list of causes of each reading: single causes first, then what is known of its team and thermometer."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pandas as pd

from station.findings.evidence import Evidence
from station.findings.kinds import Finding
from station.findings.mistakes import LISTED, Causes, group_of
from station.findings.rematch import Match
from station.findings.sessions import NumberTrouble

#: What a column moved up or down may be when nothing is known of the team, with shares that are guesses.
UP: Mapping[str, float] = {"bulb_warmed": 0.35, "warm_surface": 0.35, "in_the_sun": 0.2, "read_too_soon": 0.1}
#: The same where the team was found to do it again and again: sun and warm surfaces look like a warm hand.
HABITUAL: Mapping[str, Mapping[str, float]] = {
    "bulb_warmed": {"bulb_warmed": 0.42, "warm_surface": 0.45, "in_the_sun": 0.13},
    "read_too_soon": {"read_too_soon": 0.9, "bulb_warmed": 0.1},
}
DOWN: Mapping[str, float] = {"wet_bulb": 0.94, "warm_surface": 0.04, "eye_line": 0.02}
#: A steady bias of a team is mostly its eye line; a short wait in weather that hardly changes looks the same.
STEADY: Mapping[str, Mapping[str, float]] = {"eye_line": {"eye_line": 0.96, "read_too_soon": 0.04}}


def cause_table(
    e: Evidence,
    causes: Causes,
    moves: tuple[Match, ...],
    by_team: Mapping[str, tuple[Finding, ...]],
    by_tube: Mapping[str, tuple[Finding, ...]],
    troubles: tuple[NumberTrouble, ...],
    carried: bool,
) -> pd.DataFrame:
    """Return ``row, kind, group, probability``; a reading's causes stand together, most probable first."""
    listed: dict[tuple[int, str, str], float] = {}

    def add(row: int, kind: str, group: str, p: float) -> None:
        if p >= LISTED:
            key = (row, kind, group)
            listed[key] = min(max(listed.get(key, 0.0), p), 1.0)

    for i, (kind, side) in enumerate(causes.kinds):
        if i == 0:
            continue
        for row in np.flatnonzero(np.nan_to_num(causes.p[:, i]) >= LISTED).tolist():
            p = float(causes.p[row, i])
            if kind != "column":
                told = "unexplained" if kind == "another_card" else kind
                add(row, told, group_of(kind, side), p)
                continue
            for named, share in _column(side, by_team[e.teams[e.team[row]]], carried).items():
                add(row, named, "column", p * share)
    writes_both = np.isfinite(e.written_c).any() and np.isfinite(e.written_f).any()
    if writes_both:
        for row in np.flatnonzero(np.isfinite(e.written_c) != np.isfinite(e.written_f)).tolist():
            add(row, "scale_missing", "entry", 1.0)
    for trouble in troubles:
        add(trouble.row, "wrong_thermometer_number", "entry", 1.0 if trouble.why == "retired" else 0.5)
    for match in moves:
        for row in match.rows:
            add(row, match.kind, "entry", match.probability)
    for found in by_team.values():
        for finding in found:
            if finding.kind in ("eye_line", "read_too_soon", "converted_not_read", "rounded"):
                for row, acted in zip(finding.rows, finding.acted or (1.0,) * len(finding.rows), strict=True):
                    p = finding.probability * acted * float(causes.honest[row])
                    for kind, share in STEADY.get(finding.kind, {finding.kind: 1.0}).items():
                        add(row, kind, finding.group, p * share)
    for found in by_tube.values():
        for finding in found:
            for row in finding.rows:
                add(row, finding.kind, finding.group, finding.probability * float(causes.honest[row]))
    table = pd.DataFrame(
        [(row, kind, group, p) for (row, kind, group), p in listed.items()],
        columns=["row", "kind", "group", "probability"],
    ).astype({"row": "int64", "probability": "float64"})
    return table.sort_values(["row", "probability"], ascending=[True, False], ignore_index=True)


def _column(side: str, found: tuple[Finding, ...], carried: bool) -> dict[str, float]:
    """Return how a moved column is shared among its kinds."""
    for finding in found:
        if side == "up" and finding.kind in ("bulb_warmed", "read_too_soon"):
            return dict(HABITUAL[finding.kind])
    shares = dict(UP if side == "up" else DOWN)
    if not carried:
        shares.pop("read_too_soon", None)
    total = sum(shares.values())
    return {kind: share / total for kind, share in shares.items()}
