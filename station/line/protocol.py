"""The decoder of a port: bytes in, measured values or refused lines out; it opens, sleeps and reads no clock.

It learns from the first lines how the port speaks, asks once where several numbers could be meant, and
notices when something else begins to talk. No input makes it raise, and every line with any character
comes back as a value or as a refusal with its reason.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Generic

from station.line import own
from station.line.formats import OneWireDump, parse_json, parse_nmea
from station.line.framing import LineBuffer
from station.line.outcome import Candidate, Instant, Measured, Parsed, Refusal, Refused, Unit, to_celsius
from station.line.sentinels import judge
from station.line.shapes import parse, refusal
from station.line.text import decode, has_noise

#: Values of one shape that make it the port's own; a greeting or a torn line seldom repeats so often.
LEARNED_AFTER = 5
#: Lines of another shape in a row that mean another device.
STRANGER_AFTER = 10

_OWN = "the station's own line"
_BARE = ("a bare number", "a counter and a value", "numbers without a name", "a row with a time or a status")


@dataclass(frozen=True)
class Answer:
    """What a person said once about a shape: candidate name -> probe name ("" is the place), and the unit."""

    columns: Mapping[str, str]
    unit: Unit = ""


@dataclass(frozen=True)
class Answers:
    """All that a person said about a port: by shape, and sensor -> probe name where several share a line.

    Where sensors are named at all, any other is left aside.
    """

    shapes: Mapping[str, Answer] = field(default_factory=dict)
    sensors: Mapping[str, str] = field(default_factory=dict)

    def plain(self) -> dict[str, Any]:
        """Return everything as JSON can hold it; see `from_plain`."""
        shapes = {shape: {"columns": dict(a.columns), "unit": a.unit} for shape, a in self.shapes.items()}
        return {"shapes": shapes, "sensors": dict(self.sensors)}

    @classmethod
    def from_plain(cls, plain: Mapping[str, Any] | None) -> Answers:
        """Return what `plain` gave; None gives no answers."""
        if plain is None:
            return cls()
        shapes = {shape: Answer(a["columns"], a["unit"]) for shape, a in plain["shapes"].items()}
        return cls(shapes, plain["sensors"])


@dataclass(frozen=True)
class Question:
    """What a person must say once: the shape it is about, the candidates, and the question in words."""

    shape: str
    candidates: tuple[Candidate, ...]
    text: str


class Decoder(Generic[Instant]):
    """Reads one port.

    Parameters
    ----------
    answers
        What a person said about this port before.
    mid_line
        Whether the first bytes may start within a line, as on a port that was just opened.
    """

    def __init__(self, answers: Answers | None = None, *, mid_line: bool = True) -> None:
        self.answers = answers or Answers()
        self.question: Question | None = None
        self.measured = 0
        self.refused = 0
        self._restart(mid_line)

    def reopened(self) -> None:
        """Forget half a line and the learned shape: the port was closed and opened again."""
        self._restart(mid_line=True)

    def _restart(self, mid_line: bool) -> None:
        self._buffer = LineBuffer()
        self._dump = OneWireDump()
        self._first = mid_line
        self._shapes: dict[str, int] = {}
        self._family = ""
        self._learned = ""
        self._strangers = 0
        self._before_c: float | None = None
        self._sensor = ""
        self.sensors: dict[str, float] = {}  # every sensor heard, with its last value [degC]

    @property
    def speaks(self) -> str:
        """How the port speaks, in words; empty until learned."""
        return self._family if self._learned else ""

    @property
    def speaks_own(self) -> bool:
        """Whether the port speaks the station's own line, so that it understands an answer."""
        return self._family == _OWN

    @property
    def other_device(self) -> bool:
        """Whether the last lines all came in another shape than the port's own."""
        return self._strangers >= STRANGER_AFTER

    def feed(self, data: bytes, received: Instant) -> list[Measured[Instant] | Refused[Instant]]:
        """Take bytes that arrived at ``received`` and return what the completed lines say."""
        results: list[Measured[Instant] | Refused[Instant]] = []
        for line, whole in self._buffer.feed(data):
            results += self._line(line, whole, received)
        return results

    def _line(
        self, line: bytes, whole: bool, received: Instant
    ) -> list[Measured[Instant] | Refused[Instant]]:
        text = decode(line)
        first, self._first = self._first, False
        if not text:
            return []
        parsed = self._parse(line, text, first) if whole else Refusal("unreadable", "line too long")
        values = [parsed] if isinstance(parsed, Refusal) else self._values(parsed)
        shown = _printable(text)
        results: list[Measured[Instant] | Refused[Instant]] = []
        for value in values:
            if isinstance(value, Refusal):
                self.refused += 1
                results.append(Refused(received, shown, value.kind, value.reason))
            else:
                assert isinstance(parsed, Parsed)
                celsius, probe = value
                self.measured += 1
                results.append(Measured(received, celsius, probe, parsed.uptime_s, parsed.kept, shown))
        return results

    def _values(self, parsed: Parsed) -> list[tuple[float, str] | Refusal]:
        """Return the values [degC] of a line, each with its probe, or why there is none."""
        picked = self._choose(parsed)
        if isinstance(picked, Refusal):
            return [picked]
        values: list[tuple[float, str] | Refusal] = []
        for candidate, probe, unit in picked:
            celsius = to_celsius(candidate.value, unit or candidate.unit)
            wrong = self._judge(candidate, celsius, parsed, bool(unit))
            if wrong is None:
                self._before_c = celsius
                self.question = None  # whatever was asked, there is a value now
            values.append(wrong or (celsius, probe))
        return values

    def _parse(self, line: bytes, text: str, first: bool) -> Parsed | Refusal:
        record = own.read(line)
        if record is not None and self._family != _OWN:  # even a damaged one is no accident
            self._learned, self._family, self._sensor = "own", _OWN, ""
        if isinstance(record, str):
            return Refusal("unreadable", record)
        if record is not None:
            return _own_line(record)
        if has_noise(text):
            return Refusal("unreadable", "noise: characters that no probe prints")
        special = parse_nmea(text) or self._dump.parse(text) or refusal(text) or parse_json(text)
        if special is not None:
            return special
        parsed = parse(text)
        if first and isinstance(parsed, Parsed) and parsed.family in _BARE:
            return Refusal("question", "the first line after opening may have lost its head")
        return parsed

    def _choose(self, parsed: Parsed) -> list[tuple[Candidate, str, Unit]] | Refusal:
        """Pick the candidates to keep, each with its probe and unit, or say why not."""
        if self._learned and parsed.shape != self._learned:
            self._strangers += 1
            return Refusal("other device", f"speaks as {parsed.family}, the port spoke as {self._family}")
        answer = self.answers.shapes.get(parsed.shape)
        probe = self._probe_of(parsed)
        if probe is None and self.answers.sensors:
            return Refusal("not a reading", f"sensor {parsed.sensor} was left aside")
        if probe is None:
            told = f"another sensor, {parsed.sensor}, speaks here: run the set-up to say which is the probe"
            return Refusal("question", told)
        if answer is not None:
            picked = [
                (c, answer.columns[c.name] or probe, answer.unit)
                for c in parsed.candidates
                if c.name in answer.columns
            ]
            if not picked:
                return Refusal("not a reading", "not the number that was chosen")
        elif parsed.certain:
            no_unit: Unit = ""
            picked = [(parsed.candidates[0], probe, no_unit)]
        else:
            return self._ask(parsed, parsed.question)
        self._learn(parsed)
        return picked

    def _ask(self, parsed: Parsed, text: str) -> Refusal:
        self.question = Question(parsed.shape, parsed.candidates, text)
        return Refusal("question", text)

    def _probe_of(self, parsed: Parsed) -> str | None:
        """Return the probe name of a line's sensor: as told, else the place for the first one heard."""
        sensor = parsed.sensor
        if not sensor:
            return ""
        self.sensors[sensor] = parsed.candidates[0].celsius
        if self.answers.sensors:
            return self.answers.sensors.get(sensor)
        self._sensor = self._sensor or sensor
        return "" if sensor == self._sensor else None

    def _learn(self, parsed: Parsed) -> None:
        self._strangers = 0
        if self._learned:
            return
        self._shapes[parsed.shape] = self._shapes.get(parsed.shape, 0) + 1
        if self._shapes[parsed.shape] >= LEARNED_AFTER:
            self._learned, self._family = parsed.shape, parsed.family

    def _judge(self, candidate: Candidate, celsius: float, parsed: Parsed, unit_told: bool) -> Refusal | None:
        wrong = judge(candidate, celsius, self._before_c, parsed.family in _BARE)
        if wrong is None or wrong.kind != "question":
            return wrong
        if unit_told or parsed.verified:
            return None
        if wrong.reason.endswith("once"):
            self.question = Question(parsed.shape, parsed.candidates, wrong.reason)
        return wrong


def _own_line(record: own.OwnRecord) -> Parsed | Refusal:
    if record.celsius is None:
        if record.words.startswith("fault"):
            return Refusal("fault", f"the probe reports: {record.words}")
        return Refusal("not a reading", f"the probe greets: {record.words}")
    candidate = Candidate("v", record.celsius, "celsius", repr(record.celsius))
    return Parsed(
        "own",
        _OWN,
        (candidate,),
        sensor=record.sensor,
        uptime_s=record.uptime_s,
        verified=True,
        kept=record.kept,
    )


def _printable(text: str) -> str:
    """Return the line with every character that is no print shown as its number."""
    return "".join(c if c.isprintable() or c == "\t" else f"\\x{ord(c):02x}" for c in text)
