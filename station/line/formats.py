"""Line formats with a grammar of their own: JSON objects, NMEA 0183 transducer sentences, 1-wire dumps."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Iterator
from functools import reduce
from operator import xor

from station.line.labels import meaning, unit_in, without_unit
from station.line.outcome import Candidate, Parsed, Refusal, Unit
from station.line.shapes import both_units, which
from station.line.text import UNITS, words_of

_FRAGMENT = re.compile(r'"[^"]{1,40}"\s*:')
_NMEA = re.compile(r"[$!]([A-Z]{2})([A-Z]{3}),([^*]*)(?:\*([0-9A-Fa-f]{2}))?\Z")
_W1_CRC = re.compile(r"(?:[0-9a-f]{2} ){9}: crc=[0-9a-f]{2} (YES|NO)\Z")
_W1_VALUE = re.compile(r"(?:[0-9a-f]{2} ){9}t=(-?\d{1,7})\Z")

#: No probe nests its values deeper; noise may.
_NESTING = 20


def parse_json(text: str) -> Parsed | Refusal | None:
    """Take a JSON object apart, or a fragment ``"name": value`` of one; None where it is neither."""
    if _FRAGMENT.match(text):
        text = "{" + text.rstrip(",") + "}"
    if not text.startswith(("{", "[{")):
        return None
    if text.count("{") + text.count("[") > _NESTING:
        return Refusal("unreadable", "damaged JSON")
    try:
        document = json.loads(text)
    except (ValueError, RecursionError):
        return Refusal("unreadable", "damaged JSON")
    leaves = list(_leaves(document, ""))
    named = [_candidate(name, leaf, leaves) for name, leaf in leaves if isinstance(leaf, float)]
    found = both_units([c for c in named if c is not None])
    if isinstance(found, Refusal):
        return found
    if not found:
        return Refusal("not a reading", "no temperature in it")
    shape = "json: " + ", ".join(dict.fromkeys(name for name, _ in leaves))
    sensor = next((str(leaf) for name, leaf in leaves if name.split()[-1:] == ["id"]), "")
    uptimes = [leaf for name, leaf in leaves if isinstance(leaf, float) and meaning(name) == "uptime"]
    uptime_s = uptimes[0] / 1e3 if uptimes else None
    question = "" if len(found) == 1 else which(found)
    return Parsed(shape, "a JSON object", tuple(found), not question, question, sensor, uptime_s)


def _leaves(node: object, name: str) -> Iterator[tuple[str, float | str]]:
    """Yield (name, leaf) with numbers as float; nesting deeper than JSON's own limit cannot get here."""
    if isinstance(node, dict):
        for key, value in node.items():
            yield from _leaves(value, f"{name} {words_of(str(key))}".strip())
    elif isinstance(node, list):
        for value in node:
            yield from _leaves(value, name)
    elif isinstance(node, bool) or node is None:
        return
    elif isinstance(node, int | float):
        number = float(node) if abs(node) < 1e300 else math.inf
        yield name, number
    else:
        yield name, _numeric(str(node))


def _numeric(text: str) -> float | str:
    return float(text) if re.fullmatch(r"[+-]?\d{1,6}(?:\.\d{1,8})?", text) else text


def _candidate(name: str, value: float, leaves: list[tuple[str, float | str]]) -> Candidate | None:
    last = name.split()[-1] if name else ""
    if meaning(name) != "temperature" or last == "id" or not math.isfinite(value):
        return None
    told = next((str(v) for n, v in leaves if "unit" in n and meaning(n) == "temperature"), "")
    unit: Unit = unit_in(name) or UNITS.get(told.lower(), "")
    return Candidate(without_unit(name), value, unit, repr(value))


def nmea_checksum(body: str) -> str:
    """Return the NMEA 0183 checksum: XOR of the characters between ``$`` and ``*``, two hex digits."""
    return f"{reduce(xor, body.encode('latin-1', 'replace'), 0):02X}"


def parse_nmea(text: str) -> Parsed | Refusal | None:
    """Take an NMEA 0183 sentence apart: XDR (transducer values) and MTA (air temperature)."""
    if not text.startswith(("$", "!")):
        return None
    match = _NMEA.match(text)
    if match is None:
        return Refusal("unreadable", "damaged sentence")
    talker, kind, fields, told = match.groups()
    if told is None:
        return Refusal("unreadable", "sentence without checksum")
    if nmea_checksum(f"{talker}{kind},{fields}") != told.upper():
        return Refusal("unreadable", "checksum does not fit")
    parts = fields.split(",")
    if kind == "XDR":
        groups = [parts[i : i + 4] for i in range(0, len(parts) - 3, 4)]
        values = [(value, unit, name) for type_, value, unit, name in groups if type_ == "C"]
    elif kind == "MTA" and len(parts) >= 2:
        values = [(parts[0], parts[1], "")]
    else:
        return Refusal("not a reading", f"a sentence {talker}{kind} without air temperature")
    found: list[Candidate] = []
    for value, unit, name in values:
        number = _numeric(value)
        if isinstance(number, str) or unit not in ("C", "F", "K"):
            return Refusal("fault", "sentence without a value")
        found.append(Candidate(name, number, UNITS[unit.lower()], value))
    if not found:
        return Refusal("not a reading", f"a sentence {talker}{kind} without air temperature")
    question = "" if len(found) == 1 else which(found)
    shape = f"nmea: {talker}{kind} {[c.name for c in found]}"
    return Parsed(shape, f"an NMEA 0183 {kind} sentence", tuple(found), not question, question, verified=True)


class OneWireDump:
    """The two lines in which a 1-wire driver shows a sensor's scratchpad: checksum first, then the value."""

    def __init__(self) -> None:
        self._good: bool | None = None

    def parse(self, text: str) -> Parsed | Refusal | None:
        """Return the value of the second line if the first one said YES; None for other lines."""
        if (first := _W1_CRC.match(text)) is not None:
            self._good = first.group(1) == "YES"
            if self._good:
                return Refusal("not a reading", "first of two lines")
            return Refusal("fault", "the sensor's checksum (crc) does not fit")
        second = _W1_VALUE.match(text)
        good, self._good = self._good, None
        if second is None:
            return None
        if not good:
            return Refusal("fault", "the sensor's checksum (crc) does not fit")
        value = int(second.group(1)) / 1000.0
        candidate = Candidate("t", value, "celsius", f"{value:.3f}")
        return Parsed("1-wire dump", "a 1-wire driver's dump", (candidate,), verified=True)
