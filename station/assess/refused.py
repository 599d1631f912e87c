"""Lines in which the probe said that it has no value: they tell which trouble a hole in the record is.

A logger keeps such lines aside and not among the samples. Put back as the values that stand for the trouble
in files, they make the same faults as there: a tip unplugged for a morning is "disconnected" and no mere gap.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

import numpy as np
import pandas as pd

from station.record.columns import SAMPLES, empty
from station.reference.faults import DISCONNECTED_C, POWER_ON_C, ProbeRecord

#: What reasons say -> the value that stands for it in files, degC.
_SAID: Mapping[str, float] = {
    "power-on value": POWER_ON_C,
    "disconnected": DISCONNECTED_C,
    "no sensor": DISCONNECTED_C,
}


def refused_values(rejected: pd.DataFrame) -> pd.DataFrame:
    """Return SAMPLES of the values that stand for the troubles in ``rejected``, in order of time."""
    parts = [
        pd.DataFrame({"time": rejected["time"][said], "celsius": value})
        for words, value in _SAID.items()
        if (said := rejected["reason"].str.contains(words, regex=False)).any()
    ]
    if not parts:
        return empty(SAMPLES)
    return pd.concat(parts).sort_values("time", kind="stable", ignore_index=True)


def with_refused(
    samples: pd.DataFrame, refused: pd.DataFrame, examine: Callable[[pd.DataFrame], ProbeRecord]
) -> ProbeRecord:
    """Examine samples together with refused values; flags and usable are those of the samples alone."""
    if refused.empty:
        return examine(samples)
    whole = pd.concat([samples.assign(measured=True), refused.assign(measured=False)])
    whole = whole.sort_values("time", kind="stable", ignore_index=True)
    record = examine(whole[list(SAMPLES)])
    measured = whole["measured"].to_numpy(np.bool_)
    return replace(
        record, flags=record.flags[measured].reset_index(drop=True), usable=record.usable[measured]
    )
