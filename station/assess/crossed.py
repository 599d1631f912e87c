"""Hand the readings to the crossed fit, and describe every thermometer of the recording."""

from __future__ import annotations

import math

import numpy as np
import pandas as pd

from station.comparison.band import band_for
from station.comparison.error import scale_differences
from station.comparison.segments import split
from station.comparison.summary import Effects, by_number, summarise
from station.record.columns import Frames
from station.reference.value import shared_lines
from station.settings import Settings


def fit_effects(readings: pd.DataFrame, frames: Frames, settings: Settings) -> Effects:
    """Fit teams, thermometers and sessions together."""
    session, _ = pd.factorize(pd.MultiIndex.from_frame(readings[["date", "session"]]))
    trusted = readings["error"].notna() & ~readings["doubted"]
    shared = math.hypot(*(line.contribution for line in shared_lines(settings.probe())))
    return summarise(
        readings["error"].to_numpy(np.float64),
        readings["indication"].to_numpy(np.float64),
        session.astype(np.int64),
        split(readings, frames.table("coaching"), frames.table("pairs")),
        readings["thermometer"],
        trusted=trusted.to_numpy(),
        shared_u_c=shared,
        checked=_checked(frames.table("checks")),
    )


def _checked(checks: pd.DataFrame) -> pd.Series:
    """Return each thermometer's offset in the box check [degC]: median of reading - reference, degC rows."""
    checks = checks[~checks["kind"].str.startswith("probe ")]  # the set-up check of the probe itself
    rows = checks[(checks["scale"] != "fahrenheit") & checks["reference"].notna() & checks["reading"].notna()]
    return (rows["reading"] - rows["reference"]).groupby(rows["thermometer"]).median()


def describe_thermometers(effects: Effects, readings: pd.DataFrame, settings: Settings) -> pd.DataFrame:
    """Add what the two plates say and the band to the offsets; every number of the recording has a row."""
    plates = scale_differences(readings["thermometer"], readings["two_scale_difference"])
    numbers = sorted({*effects.thermometers["number"], *plates.index, *settings.exceptions}, key=by_number)
    out = effects.thermometers.set_index("number").reindex(numbers)
    out["readings"] = out["readings"].fillna(0).astype(np.int64)
    out["separable"] = out["separable"].fillna(False).astype(bool)
    out["scale_difference"] = plates["scale_difference"].reindex(numbers)
    out["slipped"] = plates["slipped"].reindex(numbers).fillna(False).astype(bool)
    middle = readings["indication"].median() if readings["indication"].notna().any() else 10.0
    bands = [band_for(settings.thermometer(n), float(middle)) for n in numbers]
    out["band"] = [math.nan if b is None else b.half_width_c for b in bands]
    out["band_key"] = ["" if b is None else b.key for b in bands]
    return out.rename_axis("number").reset_index()
