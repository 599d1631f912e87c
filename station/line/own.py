"""The probe firmware's own line: one SenML record in JSON, then ``*`` and a CRC-16 in hexadecimal.

The written standard is ``firmware_notes/line.md``; this module is its reader and writer::

    [{"n":"urn:dev:ow:28ff641e8416034c","u":"Cel","v":23.4375,"t":1234.567}]*1A2B

References
----------
RFC 8428, Sensor Measurement Lists (SenML): labels ``n``, ``u``, ``v``, ``vs``, ``t``; unit ``Cel``.
Departure: ``t`` counts from power-on, where RFC 8428 would read a small number as relative to now.
"""

from __future__ import annotations

import json
import math
import re
from binascii import crc_hqx
from dataclasses import dataclass

#: Version of the line standard that this reader knows.
VERSION = 1

_FRAMED = re.compile(rb"(\[\{.*\}\])\*([0-9A-Fa-f]{4})\Z", re.DOTALL)
_ADDRESS = re.compile(r"urn:dev:ow:([0-9a-f]{12,16})\Z")


@dataclass(frozen=True)
class OwnRecord:
    """What one line of ours says.

    ``celsius`` in degC or None where the probe sends words instead of a value; ``words`` those words
    (a greeting or a fault); ``uptime_s`` seconds since power-on; ``kept`` True for a value that was
    stored while nobody listened.
    """

    sensor: str
    celsius: float | None
    words: str
    uptime_s: float | None
    kept: bool


def checksum(body: bytes) -> str:
    """Return the CRC-16 (polynomial 0x1021, start 0xFFFF) of ``body`` as four hexadecimal digits.

    Check value: ``123456789`` gives 29B1.
    """
    return f"{crc_hqx(body, 0xFFFF):04X}"


def write(celsius: float, uptime_s: float, sensor: str = "28ff641e8416034c", *, kept: bool = False) -> bytes:
    """Return the line for one value [degC] at ``uptime_s`` seconds since power-on, with its end."""
    record: dict[str, object] = {
        "n": f"urn:dev:ow:{sensor}",
        "u": "Cel",
        "v": round(celsius, 4),
        "t": round(uptime_s, 3),
    }
    if kept:
        record["kept"] = True
    return _framed(record)


def write_words(words: str, uptime_s: float, sensor: str = "28ff641e8416034c") -> bytes:
    """Return the line for a greeting or a fault."""
    return _framed({"n": f"urn:dev:ow:{sensor}", "vs": words, "t": round(uptime_s, 3)})


def _framed(record: dict[str, object]) -> bytes:
    body = json.dumps([record], separators=(",", ":")).encode("ascii")
    return body + b"*" + checksum(body).encode("ascii") + b"\n"


def read(line: bytes) -> OwnRecord | str | None:
    """Return the record in ``line``, a reason why it is refused, or None if it is no line of ours.

    Noise or a torn line before the record is passed over, as the checksum tells where it starts.
    """
    match = _FRAMED.match(line, max(line.rfind(b"[{"), 0))
    if match is None:
        return "own line, but damaged" if b'"u":"Cel"' in line or b'"urn:dev:' in line else None
    body, told = match.groups()
    if checksum(body) != told.decode("ascii").upper():
        return "own line, but its checksum does not fit"
    try:
        records = json.loads(body)
    except (ValueError, RecursionError):
        return "own line, but not JSON"
    return _record(records)


def _record(records: object) -> OwnRecord | str:
    if not isinstance(records, list) or len(records) != 1 or not isinstance(records[0], dict):
        return "own line, but not one record"
    fields = records[0]
    if any(str(name).endswith("_") for name in fields):
        return "own line of a later version"  # RFC 8428, 4.4: such labels must be understood
    name, unit, value, words, uptime = (fields.get(label) for label in ("n", "u", "v", "vs", "t"))
    if not isinstance(name, str):
        return "own line without a name"
    match = _ADDRESS.match(name)
    sensor = match.group(1) if match else name
    seconds = _number(uptime)
    if uptime is not None and (seconds is None or seconds < 0.0):
        return "own line with a time that is no time"
    kept = fields.get("kept") is True
    if isinstance(words, str):
        return OwnRecord(sensor, None, words, seconds, kept)
    celsius = _number(value)
    if celsius is None:
        return "own line without a value"
    if unit != "Cel":
        return f"own line with unit {unit!r} instead of Cel"
    return OwnRecord(sensor, celsius, "", seconds, kept)


def _number(value: object) -> float | None:
    if isinstance(value, bool) or not isinstance(value, int | float):
        return None
    try:
        number = float(value)
    except OverflowError:
        return None
    return number if math.isfinite(number) else None
