"""What a label says about its number: a temperature and in which unit, something else, or nothing known."""

from __future__ import annotations

import re
from typing import Literal

from station.line.outcome import Unit
from station.line.text import UNITS, words_of

Meaning = Literal["temperature", "other", "uptime", "unknown"]

_DERIVED = re.compile(
    r"heat ?index|\bhi\b|dew|feel|chill|apparent|\bmin(?:imum)?\b|\bmax(?:imum)?\b|alarm|set ?point"
    r"|target|offset|limit"
)
_OTHER = re.compile(
    r"hum|\brh\b|pres|baro|light|lux|volt|\bbat|\bvcc\b|moist|co2|ppm|\bpm ?\d|rssi|\badc\b|\braw\b|gas|altit"
    r"|\bcrc\b|\brom\b|\bchip\b|\bdata\b|\baddr|wind|rain|\buv\b|count|\bseq"
    r"|\bresist|\bohm|status|\berr|%|\bsoil moist"
)
_UPTIME = re.compile(r"^(?:millis|ms|uptime(?: ms| s)?|time ?ms|t ms)$")
_CLOCK = re.compile(r"\btime\b|\bdate\b|stamp|\bepoch\b|\bunix\b")
_TEMPERATURE = re.compile(
    r"temp|^t ?\d*$|\bt(?:air|c|out|in)?\b|celsius|fahrenheit|nhiet|lämp|темп|температ|温度|気温|온도"
)


def unit_in(label: str) -> Unit:
    """Return the unit that a label names, such as ``Temp F`` or ``FAHRENH``; empty where it names none."""
    words = words_of(label).split()
    for word in reversed(words):
        if word in UNITS:
            return UNITS[word]
        if re.match(r"fa(?:h|r[ae]n)", word):
            return "fahrenheit"
        if word.startswith(("celsi", "centigr")):
            return "celsius"
    return ""


def without_unit(label: str) -> str:
    """Return the label without its words for units, so that both units of one value share a name."""
    idle = ("is", "deg", "°", "in") if unit_in(label) else ("is",)
    words = [w for w in words_of(label).split() if w not in UNITS and w not in idle]
    return " ".join(w for w in words if not re.match(r"fa(?:h|r[ae]n)|celsi|centigr", w))


def meaning(label: str) -> Meaning:
    """Tell what kind of number stands behind a label; a derived temperature, such as dew point, is other."""
    text = words_of(label)
    if _UPTIME.search(text):
        return "uptime"
    if _DERIVED.search(text) or _OTHER.search(text) or _CLOCK.search(text):
        return "other"
    if _TEMPERATURE.search(text) or unit_in(label):
        return "temperature"
    return "unknown"
