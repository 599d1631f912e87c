"""The serial port; the only module that imports pyserial. Every URL that pyserial knows works here.

Unplugging shows as ``SerialException``, a bare ``OSError``, or an odd failure inside the library, depending
on the system; all of them become `PortLost`. Reads take whatever came within `READ_S`, as ``readline``
returns torn lines.
"""

from __future__ import annotations

import errno
import os
from dataclasses import dataclass

import serial
from serial.tools import list_ports

from station.base.exceptions import PortLost
from station.line import wording
from station.line.timebase import READ_S

#: Speeds that sketches use, most likely first, baud.
SPEEDS = (115200, 9600, 57600, 38400, 19200)
#: Bytes taken at once: more than a read's time holds at the highest speed.
_BLOCK = 4096


@dataclass(frozen=True)
class Seen:
    """A serial port of this computer: URL, whether a probe may be on it, why, and which device it is."""

    url: str
    likely: bool
    why: str
    identity: str


class Port:
    """An open port."""

    def __init__(self, url: str, speed: int = SPEEDS[0]) -> None:
        """Open it.

        Raises
        ------
        PortLost
            It is not there, taken by another program, or may not be opened.
        """
        self.url = url
        try:
            self._serial = serial.serial_for_url(url, baudrate=speed, timeout=READ_S, exclusive=True)
        except Exception as trouble:  # pyserial raises several kinds, by system and URL
            raise PortLost(wording.CANNOT_OPEN.format(url=url, why=_short(trouble))) from None

    @property
    def has_speed(self) -> bool:
        """Whether the speed matters: not for a socket or another stream."""
        return "://" not in self.url

    def read(self) -> bytes:
        """Return the bytes that came within `READ_S`, perhaps none.

        Raises
        ------
        PortLost
            The cable is out, or the device failed.
        """
        try:
            return bytes(self._serial.read(_BLOCK))
        except Exception as trouble:  # as above: unplugging shows in several ways
            raise PortLost(wording.GONE.format(url=self.url, why=_short(trouble))) from None

    def write(self, data: bytes) -> None:
        """Send bytes to the probe.

        Raises
        ------
        PortLost
            The cable is out, or the device failed.
        """
        try:
            self._serial.write(data)
        except Exception as trouble:
            raise PortLost(wording.GONE.format(url=self.url, why=_short(trouble))) from None

    def close(self) -> None:
        """Close it; a port that is gone already is no trouble."""
        try:
            self._serial.close()
        except Exception:  # nothing more to lose
            return


def ports() -> list[Seen]:
    """Return the serial ports of this computer, those that may carry a probe first."""
    found = []
    for port in list_ports.comports():
        identity = f"{port.vid or 0:04x}:{port.pid or 0:04x}:{port.serial_number or port.location or ''}"
        if port.vid is not None:
            why = wording.USB.format(description=port.description)
        elif "bluetooth" in f"{port.device} {port.description}".lower():
            why = wording.BLUETOOTH
        else:
            why = wording.BUILT_IN
        found.append(Seen(port.device, port.vid is not None, why, identity if port.vid is not None else ""))
    return sorted(found, key=lambda seen: (not seen.likely, seen.url))


class Finder:
    """Says which ports to try: the one asked for, and the same device under another name."""

    def __init__(self, url: str = "") -> None:
        self._url = url
        self._identity = ""

    def __call__(self) -> list[str]:
        """Return URLs to try, best first; without a URL, every port that may carry a probe."""
        if "://" in self._url:
            return [self._url]
        seen = ports()
        same = [port.url for port in seen if self._identity and port.identity == self._identity]
        asked = [self._url] if self._url else [port.url for port in seen if port.likely]
        return list(dict.fromkeys([*same, *asked]))

    def opened(self, url: str) -> None:
        """Remember which device is behind a port that spoke."""
        self._identity = next((port.identity for port in ports() if port.url == url), "") or self._identity


def _short(trouble: Exception) -> str:
    number = getattr(trouble, "errno", None)
    if number in (errno.EAGAIN, errno.EBUSY):
        return wording.TAKEN
    if number:
        return os.strerror(number)
    return str(trouble).splitlines()[0][:120] if str(trouble) else type(trouble).__name__
