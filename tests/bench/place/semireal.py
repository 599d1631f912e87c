"""Real beam and real air of one wet June, with openings and a probe put in: BSRN Payerne, June 2016.

    python tests/bench/place/semireal.py FILE     bsrn-pay0616.dat or .dat.gz of pvlib's source package

The file (Baseline Surface Radiation Network, station PAY; in tests/data of the pvlib 0.16 source package)
is not part of this project. Clouds, beam and air temperature are measured; opening, wind and probe invented.
"""

from __future__ import annotations

import sys
import warnings
from dataclasses import replace
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd

sys.path.insert(0, str(Path(__file__).parent))
import generator
import scorer
from generator import SCHOOL, Case, clear_beam, draw_patches, label, lagged, ou

from station.base.sun import position
from station.place.survey import survey
from station.record.model import Sessions, Site

SITE = Site(ZoneInfo("Europe/Zurich"), "Payerne", 46.815, 6.944, 491.0)
DAYS = 10


def measured(path: str) -> pd.DataFrame:
    """Return one row a minute: beam at right angles [W/m2] and air temperature [degC]."""
    from pvlib.iotools import read_bsrn

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        data, _ = read_bsrn(path)
    return data[["dni", "temp_air"]].interpolate(limit=10)


def make(seed: int, real: pd.DataFrame, lit: bool) -> Case:
    """Put an opening and a probe into ten days of the record."""
    rng = np.random.default_rng([seed, 5])
    starts = real.index[::1440][: len(real) // 1440 - DAYS]
    start = starts[int(rng.integers(len(starts)))]
    part = real[start : start + pd.Timedelta(days=DAYS) - pd.Timedelta(minutes=1)]
    times = part.index.tz_convert("UTC")
    local = times.tz_convert(SITE.zone)
    at = position(times, SITE.latitude, SITE.longitude)
    kind = str(rng.choice(generator.KINDS_LIT if lit else generator.KINDS_SHADED))
    patches = draw_patches(rng, kind, local[len(local) // 2].date(), SITE, (0, 0))
    seen = np.zeros(len(times))
    for patch in patches:
        seen = np.maximum(seen, patch.visible(at.azimuth_deg, at.elevation_deg))
    amplitude = float(np.exp(rng.uniform(np.log(1.4), np.log(11))))
    beam = part["dni"].fillna(0).clip(lower=0).to_numpy()
    fine = generator.PER_MINUTE
    gust = np.clip(np.exp(ou(rng, len(times) * fine, 0.3, 90)) ** -0.5, 0.4, 1.7)[::fine]
    direct = amplitude * beam / 800 * seen * gust
    clear = amplitude * clear_beam(at.elevation_deg) / 800 * seen
    # On a day whose beam was not measured the air still warmed: it would read as clear and shaded.
    missing = part["dni"].isna().groupby(local.date).transform("sum").to_numpy() > 30
    air = np.where(missing, np.nan, part["temp_air"].to_numpy())
    felt = lagged(np.repeat(np.nan_to_num(air, nan=10.0) + direct, fine), rng.uniform(20, 120))[::fine]
    felt = np.where(missing, np.nan, felt)
    felt = felt + rng.normal(0, 0.02, len(times))
    truth = pd.DataFrame({
        "time": times.as_unit("us"), "local": local, "date": local.date, "direct_c": direct,
        "excess_c": direct, "clear_excess_c": clear, "recorded": np.isfinite(air),
        "elevation": at.elevation_deg,
        "sky": np.clip(beam / np.maximum(clear_beam(at.elevation_deg), 1), 0, 1),
    })  # fmt: skip
    clock = truth["local"].dt.hour * 60 + truth["local"].dt.minute
    truth["school"] = (truth["local"].dt.day_of_week < 5) & (clock >= 495) & (clock < 915)
    record = pd.DataFrame({"time": truth["time"], "celsius": np.round(felt * 16) / 16}).dropna()
    record = record.reset_index(drop=True)
    case = Case(seed, kind, (), SITE, SCHOOL, Sessions(), patches, amplitude, record, record, record, truth)
    return label(replace(case))


def main() -> None:
    """Score 60 lit and 60 shaded sites."""
    warnings.simplefilter("ignore")
    real = measured(sys.argv[1])
    rows = []
    for lit in (True, False):
        seed, found = 3_000_000 + lit * 100_000, 0
        while found < 60:
            case = make(seed, real, lit)
            seed += 1
            if case.sunlit == lit and not 0.2 < case.share < 0.7:
                rows.append(scorer.score(case, survey(case.probe, case.site, case.school, case.sessions)))
                found += 1
    table = pd.DataFrame(rows)
    on, off = table[table["sunlit"]], table[~table["sunlit"]]
    for name, part in (("excess >= 3.5", on[on["big"]]), ("all lit", on)):
        for column in ("recurring_f1", "day_f1"):
            v = part[column]
            print(f"{name} {column}: {v.median():.2f} / {v.mean():.2f} / {v.quantile(0.1):.2f} (n {len(v)})")
    odd = on[on["verdict"] != "sunlit"]
    print(odd[["kind", "amplitude", "verdict", "doubt", "clear_days", "lit_min"]].round(2).to_string())
    print("verdicts", on["verdict"].value_counts().to_dict(), off["verdict"].value_counts().to_dict())
    print(f"false minutes a day on shaded sites {off['false_min'].mean():.2f}")


if __name__ == "__main__":
    main()
