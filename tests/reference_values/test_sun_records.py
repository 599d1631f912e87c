"""Real records whose sun is known, where they are at hand; skipped elsewhere.

Looked for in the folder named by STATION_OPEN_DATA, else in ``../shared/data`` beside the repository.
"""

import os
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pytest

from station.place.survey import survey
from station.record.model import Site

DATA = Path(os.environ.get("STATION_OPEN_DATA", Path(__file__).parents[3] / "shared" / "data"))
LOGGERS = DATA / "throne_otm01-20_2min.csv"
AIR = DATA / "surfrad-slv16001.dat"


def samples(times: pd.Series, celsius: np.ndarray) -> pd.DataFrame:
    frame = pd.DataFrame(
        {"time": pd.DatetimeIndex(times).tz_convert("UTC").as_unit("us"), "celsius": celsius}
    )
    return frame.dropna().reset_index(drop=True)


@pytest.mark.skipif(not LOGGERS.exists(), reason="the loggers' record is not here")
def test_loggers_on_rocks_are_sunlit_and_in_the_order_they_face_vs_throne_labels():
    # Costoya et al. 2024 (MIT): hollow bodies on rocks, each with the direction it faces. All lie in the sun.
    # Those facing east are lit earlier in the day than those facing west. Known shortfall: one (OTM05)
    # has read "undecided" since long windows are asked for jumps; no other may, and none may read "shaded".
    undecided = []
    table = pd.read_csv(LOGGERS)
    zone = ZoneInfo("America/Los_Angeles")
    middle: dict[str, list[float]] = {"east": [], "west": []}
    for name, rows in table.groupby("otm_id"):
        first = rows.iloc[0]
        site = Site(zone, str(name), first["latitude"], first["longitude"], first["elevation"])
        times = pd.to_datetime(rows["local_time"]).dt.tz_localize(zone)
        found = survey(samples(times, rows["op_temp"].to_numpy(float)), site)
        assert found.verdict.answer != "shaded", name
        if found.verdict.answer != "sunlit":
            undecided.append(name)
            continue
        start, end = (found.spans[c].map(lambda t: t.astimezone(zone)) for c in ("start", "end"))
        clock = [(a.hour + b.hour + (a.minute + b.minute) / 60) / 2 for a, b in zip(start, end, strict=True)]
        length = (found.spans["end"] - found.spans["start"]).dt.total_seconds()
        side = {"E": "east", "NE": "east", "W": "west", "NW": "west"}.get(str(first["orientation"]))
        if side:
            middle[side].append(float(np.average(clock, weights=length)))
    assert undecided in ([], ["OTM05"])
    assert np.mean(middle["west"]) > np.mean(middle["east"]) + 0.5


@pytest.mark.skipif(not AIR.exists(), reason="the radiation station's record is not here")
def test_air_in_a_ventilated_shield_has_no_sun_vs_surfrad_alamosa():
    # NOAA SURFRAD, Alamosa, 1 Jan 2016: air at 10 m in a ventilated shield; a clear day with full beam.
    table = np.genfromtxt(AIR, skip_header=2)
    stamp = dict(zip(("year", "month", "day", "hour", "minute"), table[:, [0, 2, 3, 4, 5]].T, strict=True))
    times = pd.to_datetime(pd.DataFrame(stamp)).dt.tz_localize("UTC")
    air = np.where(table[:, 38] > -90, table[:, 38], np.nan)
    found = survey(samples(times, air), Site(ZoneInfo("America/Denver"), "plain", 37.70, -105.92, 2317.0))
    assert found.verdict.answer != "sunlit"
    assert found.spans.empty
