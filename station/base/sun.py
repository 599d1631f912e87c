"""Where the sun stands: azimuth and elevation for many instants, and rise, noon and set of a day.

Apparent geocentric coordinates follow the ephemeris of the NREL algorithm, cut to the terms that matter
at a hundredth of a degree. They change slowly, so they are computed on nodes three hours apart and
interpolated; only the earth's turning is evaluated at every instant.

References
----------
I. Reda and A. Andreas, "Solar position algorithm for solar radiation applications", NREL/TP-560-34302
(revised 2008): equations 1 to 47, tables A4.2 and A4.3.
J. Meeus, "Astronomical algorithms", 2nd edition, chapter 22: short series of the nutation.
"""

from __future__ import annotations

import datetime as dt
from typing import Any, NamedTuple
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from station.base.exceptions import StationException

Array = NDArray[np.float64]

#: Earth's heliocentric longitude: amplitude [1e-8 rad], phase [rad], frequency [rad per millennium], for
#: powers 0, 1, 2 of time. Terms below 2e-6 rad (0.4 arcseconds) are left out (table A4.2).
_L0 = np.array([
    (175347046, 0.0, 0.0), (3341656, 4.6692568, 6283.07585), (34894, 4.6261, 12566.1517),
    (3497, 2.7441, 5753.3849), (3418, 2.8289, 3.5231), (3136, 3.6277, 77713.7715),
    (2676, 4.4181, 7860.4194), (2343, 6.1352, 3930.2097), (1324, 0.7425, 11506.7698),
    (1273, 2.0371, 529.691), (1199, 1.1096, 1577.3435), (990, 5.233, 5884.927), (902, 2.045, 26.298),
    (857, 3.508, 398.149), (780, 1.179, 5223.694), (753, 2.533, 5507.553), (505, 4.583, 18849.228),
    (492, 4.205, 775.523), (357, 2.92, 0.067), (317, 5.849, 11790.629), (284, 1.899, 796.298),
    (271, 0.315, 10977.079), (243, 0.345, 5486.778), (206, 4.806, 2544.314), (205, 1.869, 5573.143),
    (202, 2.458, 6069.777),
])  # fmt: skip
_L1 = np.array([(628331966747, 0.0, 0.0), (206059, 2.678235, 6283.07585), (4303, 2.6351, 12566.1517),
                (425, 1.59, 3.523)])  # fmt: skip
_L2 = np.array([(52919, 0.0, 0.0), (8720, 1.0721, 6283.0758), (309, 0.867, 12566.152)])
#: Terrestrial minus universal time [s]: about 69 from 2016 to the 2030s (from memory; one second moves the
#: sun by 0.04 arcseconds among the stars).
_DELTA_T_S = 69.0
#: Distance of the nodes [days]. The declination bends by at most 0.007 degree per day squared, so straight
#: lines between nodes stay within 0.007 * 0.125**2 / 8 degree = 0.05 arcseconds.
_NODE_DAYS = 0.125
#: The sun's horizontal parallax at one astronomical unit and the constant of aberration [arcseconds]; the
#: distance changes both by 2 %, below 0.4 arcseconds.
_PARALLAX, _ABERRATION = 8.794, 20.4898
_ARCSECOND = np.pi / 648_000.0
#: The sun's upper limb on a sea horizon: 34 arcminutes refraction, 16 semidiameter (the definition of rise
#: and set in the U.S. Naval Observatory's tables).
HORIZON_DEG = -50.0 / 60.0


class SunPosition(NamedTuple):
    """Azimuth (from north, clockwise, 0 to 360) and elevation without refraction, degrees, as arrays."""

    azimuth_deg: Array
    elevation_deg: Array


class SunEvents(NamedTuple):
    """Rise, highest stand and set on a local date, UTC; ``None`` where the sun does not rise or set."""

    sunrise: dt.datetime | None
    noon: dt.datetime
    sunset: dt.datetime | None


def _days(times: Any) -> Array:
    """Return days since 2000-01-01 12:00 UTC."""
    if hasattr(times, "to_numpy"):
        if getattr(times.dtype, "tz", None) is None:
            raise StationException("times for the sun's position need a time zone")
        times = times.to_numpy(dtype="datetime64[us]")
    stamps = np.asarray(times, dtype="datetime64[us]").astype(np.int64)
    return np.asarray(stamps / 86_400e6 - 10_957.5)


def _series(terms: NDArray[np.float64], millennia: Array) -> Array:
    amplitude, phase, frequency = terms.T
    return np.asarray(np.cos(phase + np.multiply.outer(millennia, frequency)) @ amplitude * 1e-8)


def _apparent(days: Array) -> tuple[Array, Array, Array]:
    """Return right ascension less the equation of the equinoxes [rad], sine and cosine of the declination.

    The ascension is unwrapped, so ``days`` must be in order and less than half a year apart.
    """
    century = (days + _DELTA_T_S / 86_400.0) / 36_525.0
    millennia = century / 10.0
    longitude = (
        np.pi
        + _series(_L0, millennia)
        + _series(_L1, millennia) * millennia
        + _series(_L2, millennia) * millennia**2
    )
    node = np.radians(125.04452 - 1934.136261 * century)
    sun2 = 2 * np.radians(280.4665 + 36000.7698 * century)
    moon2 = 2 * np.radians(218.3165 + 481267.8813 * century)
    nutation = _ARCSECOND * (
        -17.20 * np.sin(node) - 1.32 * np.sin(sun2) - 0.23 * np.sin(moon2) + 0.21 * np.sin(2 * node)
    )
    tilt = _ARCSECOND * (
        84381.448 - 46.815 * century
        + 9.20 * np.cos(node) + 0.57 * np.cos(sun2) + 0.10 * np.cos(moon2) - 0.09 * np.cos(2 * node)
    )  # fmt: skip
    apparent = longitude + nutation - _ARCSECOND * _ABERRATION
    ascension = np.arctan2(np.sin(apparent) * np.cos(tilt), np.cos(apparent))
    sine = np.sin(tilt) * np.sin(apparent)
    return np.unwrap(ascension) - nutation * np.cos(tilt), sine, np.sqrt(1 - sine**2)


def _interpolated(days: Array) -> tuple[Array, Array, Array]:
    """Return ``_apparent`` by straight lines between nodes that span ``days``."""
    first, last = np.floor(days.min() / _NODE_DAYS), np.floor(days.max() / _NODE_DAYS) + 1
    nodes = np.arange(first, last + 1) * _NODE_DAYS
    ascension, sine, cosine = (np.interp(days, nodes, values) for values in _apparent(nodes))
    return ascension, sine, cosine


def position(times: Any, latitude: float, longitude: float, elevation_m: float = 0.0) -> SunPosition:
    """Return where the sun's centre stands.

    Parameters
    ----------
    times
        ``DatetimeIndex`` or ``Series`` with a time zone, or a numpy ``datetime64`` array in UTC; shape (n,).
    latitude, longitude
        Degrees, north and east positive.
    elevation_m
        Height above sea level, m; matters below 0.001 degree.

    Returns
    -------
    SunPosition
        Two arrays of shape (n,), degrees; the elevation is without refraction.

    Raises
    ------
    StationException
        A pandas object without a time zone.
    """
    days = _days(times)
    if days.size == 0:
        return SunPosition(np.empty(0), np.empty(0))
    ascension, sine, cosine = _interpolated(days)
    # Sidereal time, NREL equation 28; the terms in centuries squared stay below 0.1 arcseconds until 2050.
    hour = np.radians(280.46061837 + longitude + 360.98564736629 * days) - ascension
    phi = np.radians(latitude)
    along = cosine * np.cos(hour)
    up = sine * np.sin(phi) + along * np.cos(phi)
    azimuth = np.degrees(np.arctan2(-cosine * np.sin(hour), sine * np.cos(phi) - along * np.sin(phi)))
    # The observer stands an earth's radius off the centre, which lowers the sun by parallax * cos(elevation).
    parallax = _ARCSECOND * _PARALLAX * (1 + elevation_m / 6_378_140.0)
    up = np.clip(up - parallax * (1 - up**2), -1.0, 1.0)
    return SunPosition(np.where(azimuth < 0, azimuth + 360.0, azimuth), np.degrees(np.arcsin(up)))


def refraction(elevation_deg: Array, pressure_hpa: float = 1010.0, celsius: float = 10.0) -> Array:
    """Return by how much the air lifts the sun, degrees; zero below the horizon (NREL equation 42)."""
    e = np.asarray(elevation_deg, dtype=np.float64)
    visible = np.maximum(e, -1.0)
    lift = (
        pressure_hpa / 1010.0 * 283.0 / (273.0 + celsius)
        * 1.02 / (60.0 * np.tan(np.radians(visible + 10.3 / (visible + 5.11))))
    )  # fmt: skip
    return np.where(e >= -0.26667 - 0.5667, lift, 0.0)


def events(date: dt.date, zone: ZoneInfo, latitude: float, longitude: float) -> SunEvents:
    """Return sunrise, highest stand and sunset of a local date.

    Rise and set are those of the upper limb on a level horizon (``HORIZON_DEG``); the teacher's hills and
    roofs come on top.
    """
    start = dt.datetime.combine(date, dt.time(), tzinfo=zone).astimezone(dt.UTC)
    end = dt.datetime.combine(date + dt.timedelta(days=1), dt.time(), tzinfo=zone).astimezone(dt.UTC)
    minutes = round((end - start) / dt.timedelta(minutes=1))
    times = np.datetime64(start.replace(tzinfo=None), "us") + np.arange(minutes + 1) * np.timedelta64(1, "m")
    elevation = position(times, latitude, longitude).elevation_deg
    above = elevation - HORIZON_DEG

    def crossing(index: NDArray[np.intp]) -> dt.datetime | None:
        if index.size == 0:
            return None
        i = int(index[0])
        return start + dt.timedelta(minutes=i + float(above[i] / (above[i] - above[i + 1])))

    rise = np.flatnonzero((above[:-1] <= 0) & (above[1:] > 0))
    sets = np.flatnonzero((above[:-1] > 0) & (above[1:] <= 0))
    top = min(max(int(np.argmax(elevation)), 1), minutes - 1)
    a, b, c = elevation[top - 1 : top + 2]
    bend = a - 2 * b + c
    shift = 0.5 * float((a - c) / bend) if bend else 0.0
    return SunEvents(crossing(rise), start + dt.timedelta(minutes=top + shift), crossing(sets))
