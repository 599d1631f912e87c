"""One row an entry: indication, reference, error, band, verdict, and whether it is in question."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping, Sequence

import numpy as np
import pandas as pd

from station.base.temperature import value_c_from_f
from station.base.uncertainty import p_inside
from station.comparison.band import band_for
from station.comparison.error import indication, two_scale_difference, two_scale_limit
from station.comparison.verdict import verdict
from station.record.model import Session
from station.reference.value import NOTED_TIME_HALF_WIDTH_MIN, Doubt, ProbeSeries, Reference
from station.settings import Settings


def errors(
    readings: pd.DataFrame,
    references: Mapping[Session, Reference | None],
    series: ProbeSeries,
    doubts: Sequence[Doubt],
) -> pd.DataFrame:
    """Add indication, reference and error."""
    out = pd.concat([readings, indication(readings["celsius"], readings["fahrenheit"])], axis=1)
    half = NOTED_TIME_HALF_WIDTH_MIN
    found: list[Reference | None] = []
    for date, part, time in readings[["date", "session", "time"]].itertuples(index=False):
        if pd.isna(time):
            found.append(references[Session(date, part)])
        else:
            start = time.to_pydatetime() - dt.timedelta(minutes=half)
            found.append(series.reference(start, 2.0 * half, own_time=True, doubts=doubts))
    out["reference"] = [math.nan if r is None else r.value_c for r in found]
    out["u_reference"] = [math.nan if r is None else r.u_c for r in found]
    out["expanded"] = [math.nan if r is None else r.expanded_c for r in found]
    out["doubted"] = [r is not None and bool(r.doubts) for r in found]
    out["error"] = out["indication"] - out["reference"]
    return out


def two_scales(readings: pd.DataFrame, settings: Settings) -> pd.DataFrame:
    """Add what the two scales say about each other, with the limit from the thermometer's marks."""
    limits = {n: two_scale_limit(settings.thermometer(n)) for n in readings["thermometer"].unique()}
    return readings.assign(
        two_scale_difference=two_scale_difference(readings["celsius"], readings["fahrenheit"]),
        two_scale_limit=readings["thermometer"].map(limits).astype(np.float64),
    )


def bands(readings: pd.DataFrame, settings: Settings) -> pd.DataFrame:
    """Add the accuracy band of each reading's thermometer, the conformance probability and the verdict."""
    out = readings
    bands = [
        band_for(settings.thermometer(number), value)
        for number, value in out[["thermometer", "indication"]].itertuples(index=False)
    ]
    marks = [
        t.fahrenheit_division / 1.8 if scale == "fahrenheit" else t.celsius_division
        for t, scale in zip(map(settings.thermometer, out["thermometer"]), out["scale_used"], strict=True)
    ]
    out["band"] = [math.nan if b is None else b.half_width_c for b in bands]
    out["band_key"] = ["" if b is None else b.key for b in bands]
    out["limit"] = out["band"] + np.array(marks, dtype=np.float64) / 2.0
    judged = (out["expanded"] <= out["band"]) & ~out["doubted"]
    p = p_inside(out["error"], out["u_reference"], -out["limit"], out["limit"])
    out["p_inside"] = np.where(judged, p, math.nan)
    none = out["reference"].isna() & out["indication"].notna()
    out["verdict"] = ["no reference" if n else verdict(q) for n, q in zip(none, out["p_inside"], strict=True)]
    return out


def unjudged(readings: pd.DataFrame, rows: Sequence[int]) -> pd.DataFrame:
    """Take the verdict from readings at these positions, where they had one from a reference."""
    judged = readings.index[list(rows)].intersection(readings.index[readings["p_inside"].notna()])
    out = readings.copy()
    out.loc[judged, "p_inside"] = math.nan
    out["verdict"] = [None if i in judged else v for i, v in out["verdict"].items()]
    return out


def questioned(readings: pd.DataFrame, thermometers: pd.DataFrame, settings: Settings) -> pd.DataFrame:
    """Mark the entries in question by form or by the two scales alone; the probe has no say.

    By form: nothing was read, a scale that most cards of the session have is missing, or a value stands off
    the printed scale.
    """
    slipped = thermometers[thermometers["slipped"]].set_index("number")["scale_difference"]
    plate = readings["thermometer"].map(slipped).astype(np.float64).fillna(0.0)
    apart = (readings["two_scale_difference"] - plate).abs() > readings["two_scale_limit"]
    return readings.assign(questioned=apart | _incomplete(readings) | _off_scale(readings, settings))


def _incomplete(readings: pd.DataFrame) -> pd.Series:
    """Tell which cards lack a scale that at least half of their session's cards have."""
    written = readings[["celsius", "fahrenheit"]].notna()
    empty = ~written.any(axis=1)
    usual = written[~empty].groupby([readings["date"], readings["session"]]).transform("mean") >= 0.5
    return empty | (~written & usual.reindex(readings.index, fill_value=False)).any(axis=1)


def _off_scale(readings: pd.DataFrame, settings: Settings) -> pd.Series:
    """Tell which cards have a value off the printed scale of their thermometer, by more than half a mark."""
    described = [settings.thermometer(number) for number in readings["thermometer"]]
    low = np.array([t.lowest_c - t.celsius_division / 2.0 for t in described], dtype=np.float64)
    high = np.array([t.highest_c + t.celsius_division / 2.0 for t in described], dtype=np.float64)
    off = pd.Series(False, index=readings.index)
    for values in (readings["celsius"], value_c_from_f(readings["fahrenheit"].to_numpy(np.float64))):
        off |= (values < low) | (values > high)
    return off
