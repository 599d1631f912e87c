"""What simpler methods say: rate of change, probe minus the region's series, the same clock time again."""

from __future__ import annotations

import numpy as np
from generator import Case

from station.place.windows import runs

#: A minute is lit from this rise or fall on [degC a minute]; between a rise and a fall it stays lit.
RATE_C_PER_MIN = 0.4


def by_rate(case: Case) -> np.ndarray:
    """Lit from each rapid rise to the next rapid fall, on the truth's minutes."""
    celsius = _record(case)
    change = np.diff(celsius, prepend=np.nan)
    lit = np.zeros(celsius.size, bool)
    on = False
    for i, c in enumerate(change):
        if c > RATE_C_PER_MIN:
            on = True
        elif c < -RATE_C_PER_MIN or np.isnan(c):
            on = False
        lit[i] = on
    return lit


def by_region(case: Case, limit_c: float) -> np.ndarray:
    """Lit where the probe stands this much above the region's hourly series."""
    minutes = (case.truth["time"].astype("int64").to_numpy()) / 60e6
    hours = (case.weather["time"].astype("int64").to_numpy()) / 60e6
    above = _record(case) - np.interp(minutes, hours, case.weather["celsius"].to_numpy())
    lit = np.nan_to_num(above, nan=-99) > limit_c
    out = np.zeros(lit.size, bool)
    for a, b in runs(lit, 3, 6):
        out[a:b] = True
    return out


def _record(case: Case) -> np.ndarray:
    celsius = np.full(len(case.truth), np.nan)
    celsius[case.truth["recorded"].to_numpy()] = case.probe["celsius"].to_numpy()
    return celsius
