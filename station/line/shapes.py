"""One line of text into candidates for the temperature, by the shape it has.

Rules, from a tally of public sketches: never take the first number of a line because it is first
(humidity often comes first); several unnamed numbers are asked about once; with both units Celsius is the
value and Fahrenheit the check; words about an error are a fault, greetings and settings no reading.
"""

from __future__ import annotations

import re
from dataclasses import replace

from station.line import wording
from station.line.labels import meaning, unit_in, without_unit
from station.line.outcome import Candidate, Parsed, Refusal, Unit
from station.line.text import DEGREE_WORDS, UNITS, Number, Scanned, scan

_FAULT = re.compile(
    r"\berr(?:or)?s?\b|-err\b|_failed|fail(?:ed|ure)?\b|disconnect|unplugged|not found|no sensor|no device"
    r"|not connected|time ?out|timed out|\binvalid\b|could ?n.?t|could not|unable|check wiring",
    re.I,
)
_NO_ERROR = re.compile(r"\berr(?:or)?s?\s*[:=]\s*0+\b|\bno errors?\b", re.I)
_NOT_A_NUMBER = re.compile(r"(?<![\w])[+-]?(?:nan|inf|ovf|null|none)(?![\w])", re.I)
_BANNER = re.compile(
    r"\bboot\b|\brst\b|\breset\b|version|firmware|\bfound \d|locating|resolution\b|parasite|setting|alarm"
    r"|starting|\bsetup\b|library|config|wi-?fi|\bip\b|connecting|\bbaud\b|copyright|threshold|set ?point",
    re.I,
)
#: Unit seconds since 1970 between 2001 and 2096; a number this large is a time stamp.
_UNIX = (1e9, 4e9)


def refusal(text: str) -> Refusal | None:
    """Return why a line that needs no numbers to judge gives no value, or None."""
    if text.startswith("#"):
        return Refusal("not a reading", "a comment or header")
    plain = _NO_ERROR.sub("", text)
    if _FAULT.search(plain):
        return Refusal("fault", "the sketch reports an error")
    if _NOT_A_NUMBER.search(plain):
        return Refusal("fault", "not a number")
    if _BANNER.search(text):
        return Refusal("not a reading", "a greeting or a setting")
    return None


def parse(text: str) -> Parsed | Refusal:
    """Take a line of labelled, comma-separated or bare numbers apart."""
    scanned = scan(text)
    if scanned.odd:
        return Refusal("unreadable", f"damaged near {scanned.odd!r}")
    if not scanned.numbers:
        return Refusal("not a reading", "no number in it")
    named = _named(scanned)
    if named:
        return _labelled(scanned, named)
    return _unlabelled(scanned)


def both_units(candidates: list[Candidate]) -> list[Candidate] | Refusal:
    """Join candidates of one name told in several units; refuse where the units contradict each other."""
    names = list(dict.fromkeys(candidate.name for candidate in candidates))
    joined: list[Candidate] = []
    for name in names:
        same = [candidate for candidate in candidates if candidate.name == name]
        units = [candidate.unit for candidate in same]
        if len(set(units)) < len(same):  # the same name and unit twice: several sensors
            joined += [replace(c, name=f"{name} {i}".strip()) for i, c in enumerate(same, 1)]
            continue
        best = min(same, key=lambda c: ("celsius", "", "kelvin", "fahrenheit").index(c.unit))
        for other in same:
            if abs(other.celsius - best.celsius) > _step_c(best) + _step_c(other):
                return Refusal("unreadable", f"{best.text} and {other.text} are not the same temperature")
        joined.append(best)
    return joined


def _step_c(candidate: Candidate) -> float:
    """Return one printed step in degC, the most that rounding or cutting can take from a value."""
    decimals = len(candidate.text.partition(".")[2])
    step = 10.0**-decimals
    return step / 1.8 if candidate.unit == "fahrenheit" else step


def _named(scanned: Scanned) -> list[Candidate]:
    """Return numbers that their label or unit calls a temperature."""
    found: list[Candidate] = []
    label = ""
    for number in scanned.numbers:
        own = number.label
        label = own if without_unit(own) else label  # a value in a second unit carries no label of its own
        told = meaning(label) if label else "unknown"
        unit: Unit = UNITS.get(number.unit, "") or unit_in(own)
        bare = number.unit in DEGREE_WORDS or not number.unit
        is_temperature = bool(unit) or (told == "temperature" and bare and bool(own))
        if is_temperature and told not in ("other", "uptime"):
            found.append(Candidate(without_unit(label), number.value, unit, number.text))
    return found


def _labelled(scanned: Scanned, named: list[Candidate]) -> Parsed | Refusal:
    joined = both_units(named)
    if isinstance(joined, Refusal):
        return joined
    question = "" if len(joined) == 1 else which(joined)
    names = ", ".join(f"{c.name} {c.unit}".strip() for c in joined)
    return Parsed(
        f"named: {names}",
        "a value with its name or unit",
        tuple(joined),
        len(joined) == 1,
        question,
        scanned.sensor,
        _uptime_s(scanned),
    )


def _uptime_s(scanned: Scanned) -> float | None:
    for number in scanned.numbers:
        if number.label and meaning(number.label) == "uptime":
            return number.value if number.unit in ("s", "sec") or "." in number.text else number.value / 1e3
    return None


def _unlabelled(scanned: Scanned) -> Parsed | Refusal:
    """Pick among numbers without a name: alone, after a counter, or in a logger's row; else ask."""
    numbers = [n for n in scanned.numbers if not _UNIX[0] <= n.value < _UNIX[1]]
    stamped = bool(scanned.stamps) or len(numbers) < len(scanned.numbers)
    status = [n.label for n in numbers if n.label]
    known = [
        n
        for n in numbers
        if meaning(n.label) not in ("other", "uptime") and (not n.unit or n.unit in DEGREE_WORDS)
    ]
    candidates = tuple(Candidate(f"column {n.column}", n.value, "", n.text) for n in known)
    if not candidates:
        return Refusal("not a reading", "no temperature in it")

    def found(family: str, pick: Number, uptime_s: float | None = None) -> Parsed:
        candidate = next(c for c, n in zip(candidates, known, strict=True) if n is pick)
        return Parsed(
            f"{family}: {scanned.skeleton}", family, (candidate,), sensor=scanned.sensor, uptime_s=uptime_s
        )

    if len(known) == 1 and not status:
        return found("a bare number", known[0])
    if len(numbers) == 2 and not status and not stamped and _is_counter(numbers[0]) and not numbers[1].whole:
        return found("a counter and a value", numbers[1], numbers[0].value / 1e3)
    decimals = [n for n in known if not n.whole]
    row = stamped and (len(decimals) == 1 or (known[0].whole and known[0].column == 1))
    if decimals and (row or status == ["OK"]):
        return found("a row with a time or a status", decimals[0])
    family = "numbers without a name"
    if len(known) == 1 and status:
        family = "a number with an unknown name"
        candidates = (replace(candidates[0], name=status[0]),)
    return Parsed(
        f"{family}: {scanned.skeleton}",
        family,
        candidates,
        certain=False,
        question=which(list(candidates)),
        sensor=scanned.sensor,
    )


def _is_counter(number: Number) -> bool:
    return number.whole and number.value >= 0.0 and number.column == 1


def which(candidates: list[Candidate]) -> str:
    """Return the question that a person must answer once."""
    told = ", ".join(f"{c.name or wording.THE_NUMBER} ({c.text})" for c in candidates)
    return wording.WHICH.format(told=told)
