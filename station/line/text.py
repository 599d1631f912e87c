"""A line's characters: decoding, time stamps, addresses, numbers with their label and unit.

Which shapes occur is a tally of what public sketches print; see ``tests/line/line_shapes.tsv``.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from station.line.outcome import Unit

_ANSI = re.compile(r"\x1b\[[0-9;]{0,16}[A-Za-z]")
#: A degree sign as UTF-8, Latin-1, or the byte that character displays use (DF, F8); also a star.
_DEGREE = re.compile(r"[°º˚∘ßø*]\s?(?=[CFK](?![A-Za-z]))")
_NOISE = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\ufffd]")

_CLOCK = r"\d{1,2}:\d\d(?::\d\d(?:[.,:]\d{1,6})?)?(?:\s?[AaPp]\.?[Mm]\b\.?|\sodp\.|\srano)?"
_STAMP = re.compile(
    rf"""\d{{4}}[-./]\d\d[-./]\d\d(?:[T ,;]+{_CLOCK})?(?:Z|[+-]\d\d:?\d\d\b)?   # 2023-03-02T15:47:54Z
    |\d{{1,2}}([./-])\d{{1,2}}\1\d{{2,4}}(?![.\d])(?:[ ,;]+{_CLOCK})?          # 05/30/17 12:00:00 PM
    |\b[A-Z][a-z]{{2}}\s+\d{{1,2}}\s+{_CLOCK}                                 # Nov 25 08:30:00
    |(?<![\d:.]){_CLOCK}(?![\d:])                                             # 12:43:46.525
    """,
    re.VERBOSE,
)
_LOG_PREFIX = re.compile(r"^(?:\[[\w:.\ue000 ]{1,40}\]){1,4}:?")
_HEX = r"[0-9A-Fa-f]"
_ADDRESS = re.compile(
    rf"""\b(?=(?:\d{{1,2}}\s){{0,9}}\d?[A-Fa-f])(?:{_HEX}{{1,2}}\s){{7,9}}{_HEX}{{1,2}}\b
                                                          # 28 FF 64 1E 84 16 3 4C
    |\b{_HEX}{{2}}(?::{_HEX}{{2}}){{7}}\b                  # 28:FF:64:1E:84:16:03:4C
    |\b\d\d-{_HEX}{{12}}\b                                # 28-0417b1fb82ff
    |\b(?=[0-9]*[A-Fa-f])(?=[A-Fa-f]*[0-9]){_HEX}{{8,16}}(?:-{_HEX}{{4}})?\b   # 28FF641E8416034C
    """,
    re.VERBOSE,
)
_CAMEL = re.compile(r"(?<=[a-z])(?=[A-Z])|[_\-]+")

STAMP, ADDRESS = "\ue000", "\ue001"

_TOKEN = re.compile(r"[;|,\t=:]|[^\s;|,=:<>(){}\[\]\"'`]+")
_NUMBER = re.compile(r"([+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d{1,2})?)(°?[A-Za-z%°/]*)\Z")
_TWO_POINTS = re.compile(r"\d*\.\d*\.\d")
_INDEX_WORD = re.compile(
    r"(?:device|sensor|index|probe|channel|chan|ch|id|no|nr|num|number|port|pin|#)\Z", re.I
)

UNITS: dict[str, Unit] = {
    "c": "celsius", "°c": "celsius", "degc": "celsius", "cel": "celsius", "celsius": "celsius",
    "centigrade": "celsius", "℃": "celsius",
    "f": "fahrenheit", "°f": "fahrenheit", "degf": "fahrenheit", "fahrenheit": "fahrenheit",
    "℉": "fahrenheit",
    "k": "kelvin", "°k": "kelvin", "kelvin": "kelvin",
}  # fmt: skip
_OTHER_UNITS = frozenset(
    {"%", "%rh", "rh", "hpa", "pa", "kpa", "mbar", "mb", "bar", "lux", "lx", "v", "mv", "ma", "a", "ms", "s"}
    | {"sec", "us", "ppm", "dbm", "m", "ft", "w", "hz", "kb", "ohm", "db", "g"}
)
#: Units that say no more than "degrees".
DEGREE_WORDS = frozenset(("°", "deg", "degree", "degrees", "grad"))


@dataclass(frozen=True)
class Number:
    """A number of a line: value, text, the words before it, its unit, its column from 1."""

    value: float
    text: str
    label: str
    unit: str
    column: int

    @property
    def whole(self) -> bool:
        """Whether it was printed without decimals."""
        return "." not in self.text and "e" not in self.text.lower()


@dataclass(frozen=True)
class Scanned:
    """A line taken apart into numbers and what stands around them.

    ``skeleton`` is the text with numbers, stamps and addresses replaced; ``odd`` the first token that
    mixes digits with something else, as torn lines do.
    """

    numbers: tuple[Number, ...]
    skeleton: str
    stamps: tuple[str, ...]
    sensor: str
    odd: str


def decode(line: bytes) -> str:
    """Return the line as text: UTF-8 where valid, else Latin-1; no BOM, colour codes or outer space."""
    try:
        text = line.decode("utf-8")
    except UnicodeDecodeError:
        text = line.decode("latin-1")
    text = _ANSI.sub("", text).replace("\ufeff", "").replace("−", "-").strip()
    return _DEGREE.sub("°", text).replace("℃", "°C").replace("℉", "°F")


def has_noise(text: str) -> bool:
    """Tell whether the text holds control characters, as a wrong speed or a bad wire gives."""
    return _NOISE.search(text) is not None


def words_of(label: str) -> str:
    """Return a label in lower case with ``camelCase`` and ``snake_case`` taken apart."""
    return " ".join(_CAMEL.sub(" ", label).lower().split())


def scan(text: str) -> Scanned:
    """Take one line of text apart."""
    stamps = [match.group(0) for match in _STAMP.finditer(text)]
    text = _STAMP.sub(STAMP, text)
    text = _LOG_PREFIX.sub(STAMP, text)
    addresses = [match.group(0) for match in _ADDRESS.finditer(text)]
    text = _ADDRESS.sub(ADDRESS, text)
    if not re.search(r"\d\.\d", text) and not re.search(r"\d,\d+,\d", text):
        text = re.sub(r"(?<=\d),(?=\d)", ".", text)  # a decimal comma
    return _Scan(text, stamps, addresses).result()


class _Scan:
    def __init__(self, text: str, stamps: list[str], addresses: list[str]) -> None:
        self._tokens = _TOKEN.findall(text)
        self._stamps = stamps
        self._sensor = addresses[0].lower() if len(addresses) == 1 else ""
        self._numbers: list[Number] = []
        self._skeleton: list[str] = []
        self._words: list[str] = []
        self._index = ""
        self._odd = ""
        self._column = 1

    def result(self) -> Scanned:
        after_number = joined = False
        for position, token in enumerate(self._tokens):
            following = self._tokens[position + 1] if position + 1 < len(self._tokens) else ""
            if token in ";|,\t":
                self._column += 1
                self._skeleton.append(token)
                after_number, joined = False, True
            elif token in "=:":
                after_number, joined = False, True
            elif after_number and following not in ("=", ":") and self._unit(token):
                after_number = token.lower() in DEGREE_WORDS
            else:
                after_number = self._word(token, joined, following)
                joined = False
        return Scanned(
            tuple(self._numbers),
            " ".join(self._skeleton),
            tuple(self._stamps),
            self._sensor or self._index,
            self._odd,
        )

    def _unit(self, token: str) -> bool:
        unit = token.lower().rstrip(".")
        if unit not in UNITS and unit not in _OTHER_UNITS and unit not in DEGREE_WORDS:
            return False
        last = self._numbers[-1]
        if last.unit and last.unit not in DEGREE_WORDS:
            return False
        self._numbers[-1] = Number(last.value, last.text, last.label, unit, last.column)
        self._skeleton.append(unit)
        return True

    def _word(self, token: str, joined: bool, following: str) -> bool:
        """Take a word or a number; tell whether it was a number."""
        if token.strip(STAMP + ADDRESS + ".->") == "":
            if ADDRESS in token:
                self._words.clear()  # they named the address
            self._skeleton.append(token)
            return False
        match = _NUMBER.match(token)
        unit = match.group(2).lower() if match else ""
        if match is None or (unit and unit not in UNITS and unit not in _OTHER_UNITS | DEGREE_WORDS):
            if _is_odd(token):
                self._odd = self._odd or token
            self._words.append(token)
            self._skeleton.append(re.sub(r"\d+", "0", token.lower()))
            return False
        text = match.group(1)
        if not joined and not unit and text.isdigit() and self._words and _INDEX_WORD.search(self._words[-1]):
            self._index = f"{self._words[-1].lower()} {int(text)}"
            self._words.append(text)
            self._skeleton.append("0")
            return False
        self._numbers.append(Number(float(text), text, " ".join(self._words), unit, self._column))
        self._words.clear()
        self._skeleton.append("0" + unit)
        return True


def _is_odd(token: str) -> bool:
    """Tell whether a token with digits is neither a number nor a name such as ``Temp1``."""
    if not any(c.isdigit() for c in token):
        return False
    if _TWO_POINTS.search(token):
        return True
    name = re.fullmatch(r"[#(]?[^\W\d][\w#\-+]*[.)]?", token)
    return name is None
