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
ROCKS = ZoneInfo("America/Los_Angeles")
NAMES = sorted(set(pd.read_csv(LOGGERS)["otm_id"])) if LOGGERS.exists() else ["no logger"]


def samples(times: pd.Series, celsius: np.ndarray) -> pd.DataFrame:
    frame = pd.DataFrame(
        {"time": pd.DatetimeIndex(times).tz_convert("UTC").as_unit("us"), "celsius": celsius}
    )
    return frame.dropna().reset_index(drop=True)


def surveyed(name):
    """Return one logger's first row and its survey.

    Costoya et al. 2024 (MIT): hollow bodies on rocks, each with the direction it faces; all lie in the sun.
    """
    table = pd.read_csv(LOGGERS)
    rows = table[table["otm_id"] == name]
    first = rows.iloc[0]
    site = Site(ROCKS, str(name), first["latitude"], first["longitude"], first["elevation"])
    times = pd.to_datetime(rows["local_time"]).dt.tz_localize(ROCKS)
    return first, survey(samples(times, rows["op_temp"].to_numpy(float)), site)


@pytest.mark.skipif(not LOGGERS.exists(), reason="the loggers' record is not here")
@pytest.mark.parametrize("name", NAMES)
def test_a_logger_on_a_rock_is_sunlit_vs_throne_labels(name):
    assert surveyed(name)[1].verdict.answer == "sunlit"


@pytest.mark.skipif(not LOGGERS.exists(), reason="the loggers' record is not here")
def test_no_logger_on_a_rock_is_shaded_and_those_facing_east_are_lit_earlier_vs_throne_labels():
    middle: dict[str, list[float]] = {"east": [], "west": []}
    for name in NAMES:
        first, found = surveyed(name)
        assert found.verdict.answer != "shaded", name
        side = {"E": "east", "NE": "east", "W": "west", "NW": "west"}.get(str(first["orientation"]))
        if side is None or found.spans.empty:
            continue
        start, end = (found.spans[c].map(lambda t: t.astimezone(ROCKS)) for c in ("start", "end"))
        clock = [(a.hour + b.hour + (a.minute + b.minute) / 60) / 2 for a, b in zip(start, end, strict=True)]
        length = (found.spans["end"] - found.spans["start"]).dt.total_seconds()
        middle[side].append(float(np.average(clock, weights=length)))
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
