"""Scores of a survey against a case's truth."""

from __future__ import annotations

import numpy as np
import pandas as pd
from generator import CLEAR_EXCESS_C, Case

from station.place.days import Days
from station.place.survey import Survey
from station.place.windows import runs

#: A day is clear when the sun was out for so much of it (common practice).
CLEAR_SHARE = 0.8


def on_minutes(case: Case, days: Days, chance: np.ndarray, first: int) -> np.ndarray:
    """Lay a grid whose first column is ``first`` of ``days`` on the minutes of the truth, zero elsewhere."""
    out = np.zeros(len(case.truth))
    stamps = case.truth["time"].to_numpy(dtype="datetime64[us]")
    row = np.searchsorted(days.start, stamps, side="right") - 1
    column = ((stamps - days.start[np.clip(row, 0, None)]) // np.timedelta64(days.step, "m")).astype(
        int
    ) - first
    good = (row >= 0) & (column >= 0) & (column < chance.shape[1])
    out[good] = chance[row[good], column[good]]
    return out


def spans_on_minutes(case: Case, survey: Survey) -> np.ndarray:
    """True where the survey reports a span."""
    stamps = case.truth["time"].to_numpy(dtype="datetime64[us]")
    out = np.zeros(len(stamps), bool)
    for start, end in zip(survey.spans["start"], survey.spans["end"], strict=True):
        a, b = (
            np.datetime64(t.tz_convert(None) if isinstance(t, pd.Timestamp) else t.replace(tzinfo=None), "us")
            for t in (start, end)
        )
        out[np.searchsorted(stamps, a) : np.searchsorted(stamps, b)] = True
    return out


def recurring_truth(case: Case) -> np.ndarray:
    """Minutes that a clear sky would light by a degree or more; holes of ten minutes (leaves) closed."""
    lit = (case.truth["clear_excess_c"] >= CLEAR_EXCESS_C).to_numpy()
    out = np.zeros_like(lit)
    for a, b in runs(lit, 10, 10):
        out[a:b] = True
    return out


def f1(predicted: np.ndarray, true: np.ndarray) -> float:
    """Harmonic mean of precision and recall; 1 where there is nothing to find and nothing found."""
    hit = (predicted & true).sum()
    wrong = (predicted ^ true).sum()
    return float(2 * hit / (2 * hit + wrong)) if hit or wrong else 1.0


def score(case: Case, survey: Survey) -> dict[str, object]:
    """All figures of one site."""
    truth, recorded = case.truth, case.truth["recorded"].to_numpy()
    lit = (truth["direct_c"] >= CLEAR_EXCESS_C).to_numpy()
    spans = spans_on_minutes(case, survey)
    regular = on_minutes(case, survey.calendar.days, survey.calendar.open, 0) > 0.5
    wanted = recurring_truth(case)
    clear = truth["clear_excess_c"].to_numpy()
    days = truth["date"][recorded].nunique()
    edges = edge_misses(case, wanted, regular)
    own = survey.spans["excess_c"].to_numpy()
    ratio = np.nan
    if spans.any() and lit.any():
        both = spans & (truth["excess_c"] > 0.3).to_numpy()
        ratio = excess_ratio(case, survey, both)
    return {
        "seed": case.seed, "kind": case.kind, "sunlit": case.sunlit, "only": case.school_only,
        "troubles": " ".join(case.troubles), "amplitude": case.amplitude_c,
        "big": bool(clear.max() >= 3.5), "verdict": survey.verdict.answer,
        "share": survey.verdict.share, "doubt": survey.verdict.doubt, "clear_days": survey.verdict.clear_days,
        "day_f1": f1(spans & recorded, lit & recorded),
        "recurring_f1": f1(regular & recorded, wanted & recorded),
        "false_min": float((spans & recorded & ~(truth["excess_c"] >= 0.5).to_numpy()).sum() / max(days, 1)),
        "edges": edges, "excess_ratio": ratio, "lit_min": float((lit & recorded).sum() / max(days, 1)),
        "spans": len(own), "clear_excess": float(clear.max()), "lit_when_clear": lit_when_clear(case, lit),
    } | carried(case, survey, wanted)  # fmt: skip


def sun_out(case: Case) -> pd.Series:
    """Share of each day's recorded daylight in which the sun was out, NaN for days without a record."""
    truth = case.truth
    high = truth["recorded"] & (truth["elevation"] > 5)
    return (truth["sky"] > 0.5).where(high).groupby(truth["date"]).mean()


def lit_when_clear(case: Case, lit: np.ndarray) -> bool:
    """Whether most of the record's clear days were lit for ten minutes or more of school hours."""
    truth = case.truth
    minutes = (lit & truth["recorded"] & truth["school"]).groupby(truth["date"]).sum()
    clear = (sun_out(case) >= CLEAR_SHARE) & truth["school"].groupby(truth["date"]).any()
    return bool((minutes[clear] >= 10).mean() > 0.5)  # False without a clear day


def carried(case: Case, survey: Survey, wanted: np.ndarray) -> dict[str, float]:
    """Evidence for an open sky inside the true windows, by what the sky of the day was, and how many days."""
    found = survey.exposure
    evidence = on_minutes(case, found.days, np.maximum(found.evidence, 0), found.first)
    truth, share = case.truth, sun_out(case)
    told = pd.Series(evidence * wanted).groupby(truth["date"]).sum()
    kinds = {
        "clear": share >= CLEAR_SHARE,
        "mixed": (share < CLEAR_SHARE) & (share > 0.2),
        "dull": share <= 0.2,
    }
    return {f"carried_{name}": float(told[share.index[own]].sum()) for name, own in kinds.items()} | {
        f"days_{name}": int(own.sum()) for name, own in kinds.items()
    }


def excess_ratio(case: Case, survey: Survey, inside: np.ndarray) -> float:
    """Mean estimate over mean truth of the spans, by minutes."""
    stamps = case.truth["time"].to_numpy(dtype="datetime64[us]")
    true = case.truth["excess_c"].to_numpy()
    total, estimate = 0.0, 0.0
    for start, end, excess in survey.spans[["start", "end", "excess_c"]].itertuples(index=False):
        a, b = (np.searchsorted(stamps, np.datetime64(t.replace(tzinfo=None), "us")) for t in (start, end))
        if inside[a:b].mean() < 0.5:
            continue
        total += true[a:b].sum()
        estimate += excess * (b - a)
    return estimate / total if total > 0 else np.nan


def edge_misses(case: Case, wanted: np.ndarray, regular: np.ndarray) -> list[float]:
    """Distance [min] of every true recurring edge in recorded time to the nearest found one of its kind."""
    recorded = case.truth["recorded"].to_numpy()
    misses = []
    found = {
        True: np.array([a for a, _ in runs(regular, 0, 2)]),
        False: np.array([b for _, b in runs(regular, 0, 2)]),
    }
    for a, b in runs(wanted, 0, 10):
        for entering, at in ((True, a), (False, b)):
            at = min(at, len(recorded) - 1)
            if not recorded[max(at - 6, 0) : at + 6].all():
                continue
            times = found[entering]
            misses.append(float(np.min(np.abs(times - at))) if len(times) else np.inf)
    return misses
