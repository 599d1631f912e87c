"""Small classes for the tests of findings: readings from a rule, gathered into evidence."""

import datetime as dt

import numpy as np
import pandas as pd

from station.findings.evidence import gather
from station.record.model import Thermometer

FIRST = dt.date(2026, 10, 5)


def rows(days, teams, card, parts=("morning",), numbers=9):
    """Return readings; ``card(day, part, team, number)`` gives (C, F) or None."""
    out = []
    for day in range(days):
        for k, part in enumerate(parts):
            for i, team in enumerate(teams):
                number = str((i + 2 * day + k) % numbers + 1)
                pair = card(day, part, team, number)
                if pair is not None:
                    out.append((FIRST + dt.timedelta(days=day), part, team, number, *pair))
    frame = pd.DataFrame(out, columns=["date", "session", "team", "thermometer", "celsius", "fahrenheit"])
    return frame.assign(offset=0.0, waited=np.nan)


def evidence(frame, air, parts=("morning",), box=None, u=lambda day, part: 0.35, **extra):
    """Gather readings with a reference of ``air(day, part)``, none where it is None, and its ``u``."""
    references = {}
    for date, part in {(d, p) for d, p in zip(frame["date"], frame["session"], strict=True)}:
        value = air((date - FIRST).days, part)
        if value is not None:
            references[date, part] = (value, u((date - FIRST).days, part))
    box = box or Thermometer()
    tubes = pd.DataFrame({"number": sorted(frame["thermometer"].unique())})
    tubes["scale_difference"], tubes["slipped"] = 0.0, False
    return gather(
        frame, tubes, lambda number: box, parts, references, indoor_c=20.5, shared_u_c=0.32, **extra
    )  # fmt: skip


def honest(rng, air, offset=0.0):
    """Return an honest pair about the air."""
    c = round(air + offset + 0.35 * rng.standard_normal())
    f = 2 * round((1.8 * (air + offset + 0.35 * rng.standard_normal()) + 32) / 2)
    return float(c), float(f)
