"""station.toml as typed settings."""

from __future__ import annotations

import difflib
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from itertools import pairwise
from pathlib import Path
from types import MappingProxyType
from typing import Any

from station.base.exceptions import BadEntry, UnusableInput
from station.record.model import ClockShift, Probe, School, SessionPart, Sessions, Site, Thermometer
from station.settings.convert import convert
from station.settings.keys import KEYS, Key, of

__all__ = ["KEYS", "Key", "Settings", "load", "parse"]

FILE = "station.toml"
_SECTIONS = ("site", "school", "probe", "probes", "sessions", "teams", "box", "thermometers", "clock")


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

    def probe(self, name: str = "") -> Probe:
        """Return the description of one probe; one that the file does not describe is as the defaults."""
        return self.probes.get(name, Probe(name=name, role="candidate") if name else Probe())


def load(path: Path | str) -> Settings:
    """Read a file of settings.

    Raises
    ------
    UnusableInput
        Names the file, the key and, where it is known, the line.
    """
    path = Path(path)
    if path.exists() and not path.is_file():
        raise UnusableInput(f"{path} is not a file")
    try:
        raw = path.read_bytes()
    except FileNotFoundError:
        raise UnusableInput(f"there is no {path.name} in {path.parent}") from None
    except OSError as trouble:
        raise UnusableInput(f"{path} cannot be read ({trouble.strerror})") from None
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as trouble:
        line = raw.count(b"\n", 0, trouble.start) + 1
        raise UnusableInput(f"{path.name} line {line}: not saved as UTF-8 text") from None
    return parse(text, path.name)


def parse(text: str, file: str = FILE) -> Settings:
    """Return the settings in a text of TOML; ``file`` is its name in sentences.

    Raises
    ------
    UnusableInput
        Names the file, the key and, where it is known, the line.
    """
    try:
        document = tomllib.loads(text.replace("\r\n", "\n"))
    except tomllib.TOMLDecodeError as trouble:
        raise UnusableInput(file + _syntax(str(trouble))) from None
    except RecursionError:
        raise UnusableInput(f"{file}: brackets stand within brackets too often") from None
    except ValueError:  # Python refuses whole numbers of thousands of digits
        raise UnusableInput(f"{file}: a number has too many digits") from None
    return _Reader(text, file).settings(document)


def _syntax(trouble: str) -> str:
    """Return what the TOML reader says, with the line first where it gives one."""
    match = re.fullmatch(r"(.*) \(at line (\d+), column \d+\)", trouble, re.DOTALL)
    return f" line {match[2]}: {match[1]}" if match else f": {trouble}"


class _Reader:
    """Checks one document against the table of keys; holds the text only to say lines."""

    def __init__(self, text: str, file: str) -> None:
        self.text, self.file = text, file

    def settings(self, document: dict[str, Any]) -> Settings:
        """Return the whole document, typed."""
        self.known(document, _SECTIONS, "")
        site = self.fields("[site]", self.table(document, "site"), of("site"))
        if "zone" not in site:
            raise UnusableInput(f'{self.file}: [site] timezone is missing, such as "America/Chicago"')
        box = self.band("[box]", self.fields("[box]", self.table(document, "box"), _box()))
        return Settings(
            site=Site(**site),
            school=self.school(self.table(document, "school")),
            sessions=self.sessions(self.table(document, "sessions")),
            probes=self.probes(document),
            teams=self.teams(document),
            box=self.box(Thermometer(), "[box]", box),
            exceptions=self.exceptions(document, self.box(Thermometer(), "[box]", box)),
            clock=tuple(self.clock(each) for each in self.tables(document, "clock")),
            text=self.text,
        )

    def school(self, table: dict[str, Any]) -> School:
        """Return [school]; the run and the day must end after they start."""
        found = self.fields("[school]", table, of("school"))
        if "day" in found:
            found["day_start"], found["day_end"] = found.pop("day")
        school = School(**found)
        if school.first and school.last and school.first > school.last:
            raise self.refused("[school]", "last", "is before first")
        return school

    def sessions(self, table: dict[str, Any]) -> Sessions:
        """Return [sessions]; each key that holds a table is a part of the day."""
        plain = {name: value for name, value in table.items() if not isinstance(value, dict)}
        found = self.fields("[sessions]", plain, of("sessions"))
        parts: list[SessionPart] = []
        for name, value in table.items():
            if not isinstance(value, dict):
                continue
            where = f"[sessions] {name}"
            part = self.fields(where, value, of("part"))
            if not name.strip():
                raise self.refused("[sessions]", name, "has an empty name")
            if "start" not in part:
                raise self.refused("[sessions]", name, 'has no start, such as "09:00"')
            if any(name.strip().casefold() == other.name.casefold() for other in parts):
                raise self.refused("[sessions]", name, "is there twice")
            parts.append(SessionPart(name.strip(), part["start"], part.get("minutes", 15.0)))
        if parts:
            found["parts"] = tuple(parts)
        self.apart(parts)
        return Sessions(**found)

    def apart(self, parts: list[SessionPart]) -> None:
        """Refuse two parts of the day that overlap, since a reading would belong to both."""
        span = sorted((part.start.hour * 60 + part.start.minute, part.minutes, part.name) for part in parts)
        for (start, minutes, name), (following, _, other) in pairwise(span):
            if start + minutes > following:
                raise self.refused("[sessions]", other, f"starts before {name} ends")

    def probes(self, document: dict[str, Any]) -> Mapping[str, Probe]:
        """Return [probe] as "" and each [probes.<name>]."""
        keys = of("probe")
        found = {"": Probe(**self.fields("[probe]", self.table(document, "probe"), keys))}
        for name, table in self.table(document, "probes").items():
            where = f"[probes.{name}]"
            if not isinstance(table, dict):
                raise self.refused("[probes]", name, f"must be a table {where}")
            if not name.strip():
                raise self.refused("[probes]", name, "has an empty name")
            found[name] = Probe(**{"name": name, "role": "candidate", **self.fields(where, table, keys)})
        return MappingProxyType(found)

    def teams(self, document: dict[str, Any]) -> tuple[str, ...]:
        """Return the labels of [[teams]], each once."""
        names: list[str] = []
        for table in self.tables(document, "teams"):
            team = self.fields("[[teams]]", table, of("teams"))
            if "name" not in team:
                raise self.refused("[[teams]]", "name", "is missing")
            if team["name"].casefold() in (other.casefold() for other in names):
                raise self.refused("[[teams]]", "name", f'"{team["name"]}" is there twice')
            names.append(team["name"])
        return tuple(names)

    def exceptions(self, document: dict[str, Any], box: Thermometer) -> Mapping[str, Thermometer]:
        """Return [[thermometers]] by number; what one leaves out is as in [box]."""
        found: dict[str, Thermometer] = {}
        where = "[[thermometers]]"
        for table in self.tables(document, "thermometers"):
            fields = self.band(where, self.fields(where, table, of("box", "thermometers")))
            number = fields.get("number")
            if number is None:
                raise self.refused(where, "number", "is missing")
            if number in found:
                raise self.refused(where, "number", f'"{number}" is there twice')
            found[number] = self.box(box, where, fields)
        return MappingProxyType(found)

    def band(self, where: str, fields: dict[str, Any]) -> dict[str, Any]:
        """Let a band or an accuracy stand alone: either replaces both of the box."""
        if "accuracy_c" in fields and "band" in fields:
            raise self.refused(where, "band", "and accuracy are both given; keep one")
        if "accuracy_c" in fields or "band" in fields:
            return {"accuracy_c": None, "band": None, **fields}
        return fields

    def box(self, base: Thermometer, where: str, fields: dict[str, Any]) -> Thermometer:
        """Return a thermometer that differs from ``base`` in some fields."""
        thermometer = replace(base, **fields)
        if thermometer.lowest_c >= thermometer.highest_c:
            raise self.refused(where, "highest", "must be above lowest")
        return thermometer

    def clock(self, table: dict[str, Any]) -> ClockShift:
        """Return one [[clock]]."""
        keys = of("clock")
        found = self.fields("[[clock]]", table, keys)
        for key in keys.values():
            if key.field not in found:
                raise self.refused("[[clock]]", key.name, "is missing")
        if found["first"] > found["last"]:
            raise self.refused("[[clock]]", "to", "is before from")
        return ClockShift(**found)

    def fields(self, where: str, table: dict[str, Any], keys: Mapping[str, Key]) -> dict[str, Any]:
        """Return a table's values by field name, each checked against its key."""
        self.known(table, tuple(keys), where)
        found = {}
        for name, value in table.items():
            try:
                found[keys[name].field] = convert(keys[name], value)
            except BadEntry as trouble:
                raise self.refused(where, name, str(trouble)) from None
        return found

    def known(self, table: Mapping[str, Any], names: tuple[str, ...], where: str) -> None:
        """Refuse a key that nobody reads, since a misspelt key would silently be a default."""
        for name in table:
            if name not in names:
                close = difflib.get_close_matches(name, names, n=1)
                hint = f'; did you mean "{close[0]}"?' if close else ""
                raise self.refused(where, name, f"is not a key that is known{hint}")

    def table(self, document: Mapping[str, Any], name: str) -> dict[str, Any]:
        """Return a section, empty where there is none."""
        value = document.get(name, {})
        if not isinstance(value, dict):
            raise self.refused("", name, f"must be a table [{name}]")
        return value

    def tables(self, document: Mapping[str, Any], name: str) -> list[dict[str, Any]]:
        """Return the tables of a repeated section."""
        value = document.get(name, [])
        if not isinstance(value, list) or not all(isinstance(each, dict) for each in value):
            raise self.refused("", name, f"must be written as [[{name}]]")
        return value

    def refused(self, where: str, name: str, reason: str) -> UnusableInput:
        """Return the one sentence about a key, with its line where it is certain."""
        line = self.line(where, name)
        at = f"{self.file} line {line}" if line else self.file
        key = name if len(name) <= 40 else name[:37] + "..."
        return UnusableInput(" ".join(f"{at}: {where} {key} {reason}".split()))

    def line(self, where: str, name: str) -> int | None:
        """Return the line of a key if only one line can be meant."""
        section, header = "", re.compile(r"\s*(\[\[?[^\[\]]+\]\]?)\s*(#.*)?")
        start = re.compile(rf"\s*[\"']?{re.escape(name)}[\"']?\s*=")
        found = []
        for number, line in enumerate(self.text.splitlines(), start=1):
            if match := header.fullmatch(line):
                section = match[1].replace(" ", "")
                if where == "" and section.strip("[]").split(".")[0] == name:
                    found.append(number)
            elif section == where.replace(" ", "") and start.match(line):
                found.append(number)
        return found[0] if len(found) == 1 else None


def _box() -> dict[str, Key]:
    """Return the keys of [box]: a number belongs to one thermometer only."""
    return {name: key for name, key in of("box").items() if name != "number"}
