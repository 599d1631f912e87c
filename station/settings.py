"""station.toml as typed settings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType

from station.record.model import ClockShift, Probe, School, Sessions, Site, Thermometer


@dataclass(frozen=True)
class Settings:
    """Everything station.toml says, typed, with every default filled in.

    ``probes`` maps the probe's name ("" for the probe at the place) to its description; ``box`` describes
    every thermometer and ``exceptions`` holds those that differ, by number; ``text`` is the file as written.
    """

    site: Site
    school: School = School()
    sessions: Sessions = Sessions()
    probes: Mapping[str, Probe] = field(default_factory=lambda: MappingProxyType({"": Probe()}))
    teams: tuple[str, ...] = ()
    box: Thermometer = Thermometer()
    exceptions: Mapping[str, Thermometer] = field(default_factory=lambda: MappingProxyType({}))
    clock: tuple[ClockShift, ...] = ()
    text: str = ""

    def thermometer(self, number: str) -> Thermometer:
        """Return the description of one thermometer by its number."""
        return self.exceptions.get(number, replace(self.box, number=number))
