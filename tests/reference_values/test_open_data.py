"""Local checks on open data that may not be shipped; skipped where the data are absent.

Looked for in the folder named by STATION_OPEN_DATA, else in ``shared/data`` beside the checkout.
"""

import datetime as dt
import json
import os
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pytest

from station.base.robust import algorithm_a, z_score
from station.base.temperature import value_c_from_f
from station.record.model import School, Sessions
from station.reference import flags
from station.reference.faults import examine

DATA = Path(os.environ.get("STATION_OPEN_DATA", Path(__file__).parents[3] / "shared" / "data"))
EVERY_DAY = School(weekdays=tuple(range(7)))


def need(name):
    path = DATA / name
    if not path.exists():
        pytest.skip(f"open data {name} are not here")
    return path


def examined(times, celsius, zone="UTC"):
    time = pd.DatetimeIndex(times).as_unit("us")
    samples = pd.DataFrame({"time": time, "celsius": np.asarray(celsius, dtype=float)})
    return examine(samples, ZoneInfo(zone), EVERY_DAY, Sessions())


def kinds(record):
    return {fault.kind for fault in record.faults}


def test_labelled_troubles_vs_nab():
    """NAB (MIT): an hourly office record in Fahrenheit with two windows labelled by hand.

    The first holds the warmest hours, the second a pause of a week. The hour farthest from the robust centre
    of Algorithm A, with |z| > 3, lies in the first. Of the two pauses of more than six days one lies in the
    second; the other, of September 2013, nobody labelled. The record is logged too seldom for a reference,
    and nothing worse is said of it. Both labels mean the building, so this shows where we look, not a rate.
    """
    frame = pd.read_csv(need("nab/ambient_temperature_system_failure.csv"), parse_dates=["timestamp"])
    windows = json.loads(need("nab/combined_windows.json").read_text())
    (first, second) = windows["realKnownCause/ambient_temperature_system_failure.csv"]
    x = value_c_from_f(frame["value"].to_numpy())
    centre = algorithm_a(x)
    z = np.abs(z_score(x, centre.location, centre.scale))
    at = frame["timestamp"][int(np.argmax(z))]
    assert z.max() > 3
    assert pd.Timestamp(first[0]) <= at <= pd.Timestamp(first[1])

    t = flags.seconds(frame["timestamp"].dt.tz_localize("UTC"))
    after = np.flatnonzero(flags.gap(t, x, longest_s=6 * 86400.0) == flags.Flag.SUSPECT)
    assert after.size == 2
    assert pd.Timestamp(second[0]) <= frame["timestamp"][after[1] - 1]
    assert frame["timestamp"][after[1]] <= pd.Timestamp(second[1])

    record = examined(frame["timestamp"].dt.tz_localize("UTC"), x)
    assert record.logged_too_seldom
    assert kinds(record) == set()


@pytest.fixture(scope="module")
def technicians():
    old = pd.read_csv(need("bci_lig/bci_cl_atmn_man_pre1994.csv"))
    new = pd.read_csv(need("bci_lig/bci_cl_atmn_man.csv"))
    old.columns = new.columns = ["time", "celsius"]
    both = pd.concat([old, new], ignore_index=True)
    both["year"] = pd.to_datetime(both["time"]).dt.year
    return both.assign(celsius=pd.to_numeric(both["celsius"], errors="coerce")).dropna()


def _on_grid(values, step):
    """Return the share of values that are whole steps."""
    steps = np.asarray(values, dtype=float) / step
    return float(np.mean(np.abs(steps - np.round(steps)) < 1e-6))


def test_habits_of_rounding_vs_bci(technicians):
    """Smithsonian BCI: half degrees in 1971-73 and 2011-13, tenths between (chance: 20 %)."""
    halves = technicians.groupby("year")["celsius"].apply(lambda v: _on_grid(v, 0.5))
    assert halves.loc[1971:1973].min() > 0.85
    assert halves.loc[2011:2013].min() > 0.75
    assert halves.loc[1990:2010].max() < 0.30


def test_change_of_thermometer_vs_bci(technicians):
    """A new kind of thermometer in January 2011 read lower: 0.4 degC side by side, says the station's note.

    The two years before and after differ by more, weather included; robust centres put it at 0.4 to 1.2.
    """
    before, after = (
        algorithm_a(technicians.query(f"{a} <= year <= {b}")["celsius"])
        for a, b in ((2009, 2010), (2011, 2012))
    )
    assert 0.4 < before.location - after.location < 1.2


def test_a_change_of_unit_vs_bern():
    """Bern 1800-1827: tenths of Reaumur written in Celsius; nobody avoided the missing 3 and 7.

    A test of last digits has to find the grid of the readings first, and stay silent where Celsius is not it.
    """
    celsius = pd.read_csv(need("bern_1800-1827_ta.csv"))["Obs"].dropna().to_numpy()
    digits = np.bincount(np.round(np.abs(celsius) * 10).astype(int) % 10, minlength=10) / celsius.size
    assert digits[[3, 7]].max() < 0.001
    assert _on_grid(celsius, 0.1) < 0.7
    assert _on_grid(celsius / 1.25, 0.1) > 0.999
    original = (
        np.bincount(np.round(np.abs(celsius) / 1.25 * 10).astype(int) % 10, minlength=10) / celsius.size
    )
    assert original.min() > 0.05


def test_a_day_of_minutes_has_no_fault_vs_surfrad():
    """NOAA SURFRAD, 1 January 2016, air at 10 m: a clear winter day with steep changes."""
    rows = [line.split() for line in need("surfrad-slv16001.dat").read_text().splitlines()[2:]]
    times = [dt.datetime(*(int(v) for v in (r[0], r[2], r[3], r[4], r[5])), tzinfo=dt.UTC) for r in rows]
    record = examined(times, [float(r[38]) for r in rows], "America/Denver")
    assert kinds(record) == set()
    assert record.usable.all()


@pytest.mark.parametrize("height", ["2m", "50m", "80m"])
def test_a_day_of_minutes_has_no_fault_vs_midc(height):
    frame = pd.read_csv(need("midc_20181014.txt"))
    local = pd.to_datetime(frame["DATE (MM/DD/YYYY)"] + " " + frame["MST"], format="%m/%d/%Y %H:%M")
    times = local.dt.tz_localize("Etc/GMT+7").dt.tz_convert("UTC")
    record = examined(times, frame[f"Temperature @ {height} [deg C]"], "Etc/GMT+7")
    assert kinds(record) == set()
    assert record.usable.all()


def test_loggers_in_the_sun_vs_throne():
    """18 button loggers on rocks (0.5 degC, 2 min): steps where sun and shade jump, nothing worse."""
    frame = pd.read_csv(need("throne_otm01-20_2min.csv"))
    for _, rows in frame.groupby("otm_id"):
        times = pd.to_datetime(rows["local_time"]).dt.tz_localize("America/Los_Angeles").dt.tz_convert("UTC")
        record = examined(times, rows["op_temp"], "America/Los_Angeles")
        assert kinds(record) <= {"step"}
        assert record.usable.mean() > 0.998
