"""What simpler methods say, and what a reader could who is told all that the sun showed."""

from __future__ import annotations

import numpy as np
from generator import CLEAR_EXCESS_C, Case

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


def by_told(case: Case) -> np.ndarray:
    """Recurring windows by a reader told which minutes were lit whenever the sun was out, and nothing else.

    Other minutes are copied from the told day whose noon is nearest, at the same azimuth; what no day showed
    is drawn between its neighbours.
    """
    truth = case.truth
    lit = (truth["clear_excess_c"] >= CLEAR_EXCESS_C).to_numpy().astype(float)
    out = ((truth["sky"] > 0.5) & truth["recorded"]).to_numpy().astype(float)
    elevation, azimuth = truth["elevation"].to_numpy(), truth["azimuth"].to_numpy()
    high = elevation > -3
    rows = [np.flatnonzero((truth["date"] == d).to_numpy() & high) for d in truth["date"][high].unique()]
    noon = [elevation[row].max() for row in rows]
    middle = azimuth[rows[0][np.argmax(elevation[rows[0]])]]
    sign = 1 if case.site.latitude > 0 else -1
    turned = [sign * ((azimuth[row] - middle + 180) % 360 - 180) for row in rows]
    open_ = np.zeros(len(truth))
    for here, row in enumerate(rows):
        value = np.full(len(row), np.nan)
        for day in sorted(range(len(rows)), key=lambda d: -abs(noon[d] - noon[here])):
            told = np.interp(turned[here], turned[day], out[rows[day]]) > 0.5
            value[told] = np.interp(turned[here], turned[day], lit[rows[day]])[told]
        known = np.isfinite(value)
        if known.any():
            open_[row] = np.interp(np.arange(len(row)), np.flatnonzero(known), value[known])
    found = np.zeros(len(truth), bool)
    for a, b in runs(open_ > 0.5, 10, 6):
        found[a:b] = True
    return found


def _record(case: Case) -> np.ndarray:
    celsius = np.full(len(case.truth), np.nan)
    celsius[case.truth["recorded"].to_numpy()] = case.probe["celsius"].to_numpy()
    return celsius
