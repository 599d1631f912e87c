"""Count hits of cases, with exact intervals, and compare claimed with observed shares."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np
import pandas as pd
from scipy.special import betaincinv


@dataclass
class Score:
    """Counts by name: [hits, cases]; claims of causes for calibration; what went wrong, for a closer look."""

    counts: dict[str, list[int]] = field(default_factory=lambda: defaultdict(_nothing))
    claims: list[tuple[int, float, bool]] = field(default_factory=list)
    group_claims: list[tuple[int, float, bool]] = field(default_factory=list)
    misses: list[str] = field(default_factory=list)

    def add(self, name: str, hit: bool) -> None:
        """Count one case."""
        self.counts[name][0] += int(hit)
        self.counts[name][1] += 1

    def join(self, other: Score) -> None:
        """Add what another has counted."""
        for name, (hits, cases) in other.counts.items():
            self.counts[name][0] += hits
            self.counts[name][1] += cases
        self.claims += other.claims
        self.group_claims += other.group_claims
        self.misses += other.misses


def _nothing() -> list[int]:
    return [0, 0]


def interval(hits: int, cases: int) -> tuple[float, float]:
    """Return the exact 95 % interval of a rate (Clopper and Pearson 1934)."""
    if not cases:
        return 0.0, 1.0
    low = float(betaincinv(hits, cases - hits + 1, 0.025)) if hits else 0.0
    high = float(betaincinv(hits + 1, cases - hits, 0.975)) if hits < cases else 1.0
    return low, high


def calibration(claims: Iterable[tuple[int, float, bool]]) -> pd.DataFrame:
    """Return claimed and observed shares in bins of claimed probability, errors clustered by class."""
    table = pd.DataFrame(list(claims), columns=["seed", "p", "true"])
    table["bin"] = pd.cut(table["p"], [0, 0.05, 0.1, 0.2, 0.35, 0.5, 0.65, 0.8, 0.9, 0.97, 1.0])
    out = []
    for edges, mine in table.groupby("bin", observed=True):
        by = mine.groupby("seed").agg(n=("p", "size"), apart=("true", "sum"), p=("p", "sum"))
        apart = by["apart"] - by["p"]
        error = float(np.sqrt((apart**2).sum())) / len(mine)
        out.append((str(edges), len(mine), mine["p"].mean(), mine["true"].mean(), error))
    return pd.DataFrame(out, columns=["bin", "claims", "claimed", "observed", "error"])


def report(score: Score) -> str:
    """Return the table as text."""
    lines = [f"{'figure':64s} {'hits':>6s} {'cases':>7s} {'rate':>8s}  95 % interval"]
    for name in sorted(score.counts):
        hits, cases = score.counts[name]
        low, high = interval(hits, cases)
        lines.append(f"{name:64s} {hits:6d} {cases:7d} {hits / max(cases, 1):8.4f}  {low:.4f}-{high:.4f}")
    lines += ["", "causes by kind", calibration(score.claims).round(3).to_string(index=False)]
    lines += ["", "causes by group", calibration(score.group_claims).round(3).to_string(index=False)]
    return "\n".join(lines)
