"""Which cards are asked "Is this what your card says?": from what pupils wrote alone, never from the probe.

A question is about form: a scale missing, no number, off the printed scale, a number that stands on two
cards, or two scales further apart than this thermometer's marks explain. It never says which scale is the
doubtful one, keep is the default, and nothing waits for an answer.
"""

from __future__ import annotations

import datetime as dt
import statistics
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from station.base.temperature import value_c_from_f
from station.comparison.error import two_scale_limit
from station.record import entry
from station.record.model import Thermometer
from station.settings import Settings
from station.store import Card

Kind = Literal[
    "missing", "not a number", "off the scale", "other unit", "two scales", "number twice", "resting"
]

#: After so many teams were asked about one number, the question turns to the thermometer (rule of the trade).
TEAMS_ASKED = 2
#: A scale is expected on a card if at least this share of the class's cards so far carries it; below
#: `FEWEST_CARDS` cards both are expected.
EXPECTED_SHARE = 0.3
FEWEST_CARDS = 5


@dataclass(frozen=True)
class Use:
    """One earlier use of a thermometer: which team, and C - (F - 32)/1.8 of its card [degC]."""

    team: str
    difference_c: float


@dataclass(frozen=True)
class History:
    """What the class's earlier cards say: uses by thermometer number, and which scales the class writes."""

    uses: Mapping[str, Sequence[Use]]
    cards: int
    with_celsius: int
    with_fahrenheit: int

    def expects(self, scale: str, cards: Iterable[Card]) -> bool:
        """Tell whether a card should carry a scale, from the cards before and those of this session."""
        now = [card for card in cards if card.celsius is not None or card.fahrenheit is not None]
        seen = self.cards + len(now)
        carry = self.with_celsius if scale == "celsius" else self.with_fahrenheit
        carry += sum(getattr(card, scale) is not None for card in now)
        return seen < FEWEST_CARDS or carry >= EXPECTED_SHARE * seen


@dataclass(frozen=True)
class Doubts:
    """The questions of one session: kinds by team, and the thermometers that are asked about instead."""

    cards: Mapping[str, tuple[Kind, ...]]
    thermometers: tuple[str, ...]


def doubts(
    cards: Sequence[Card], history: History, settings: Settings, date: dt.date, kept: Mapping[str, str]
) -> Doubts:
    """Return what to ask about the cards of one session.

    Parameters
    ----------
    cards : sequence of Card
        The session's cards so far.
    history : History
        Of the cards before this session.
    settings : Settings
        The marks of each thermometer, and which rest.
    date : date
        The session's date.
    kept : mapping
        Team to its cells when the teacher said "keep"; the same cells are not asked about again.
    """
    expected = {scale: history.expects(scale, cards) for scale in ("celsius", "fahrenheit")}
    numbers = Counter(card.thermometer for card in cards if card.thermometer)
    asked: dict[str, tuple[Kind, ...]] = {}
    before = {number: list(uses) for number, uses in history.uses.items()}
    turned: list[str] = []
    for card in cards:
        thermometer = settings.thermometer(card.thermometer)
        kinds = [*_form(card, thermometer, expected)]
        difference = two_scales(card)
        if difference is not None:
            earlier = before.setdefault(card.thermometer, []) if card.thermometer else []
            if not kinds and _apart(difference, earlier, thermometer):
                kinds.append("two scales")
            if card.thermometer:
                earlier.append(Use(card.team, difference))
                if card.thermometer not in turned and _turned(earlier, thermometer):
                    turned.append(card.thermometer)
        if card.thermometer and numbers[card.thermometer] > 1:
            kinds.append("number twice")
        if thermometer.retired is not None and date >= thermometer.retired:
            kinds.append("resting")
        if kinds and kept.get(card.team) != fingerprint(card):
            asked[card.team] = tuple(kinds)
    return Doubts(asked, tuple(turned))


def fingerprint(card: Card) -> str:
    """Return the cells of a card as one text, to know them again."""
    return "|".join((card.thermometer, card.celsius_written, card.fahrenheit_written))


def two_scales(card: Card) -> float | None:
    """Return C - (F - 32)/1.8 of a card [degC], None where a scale is missing."""
    if card.celsius is None or card.fahrenheit is None:
        return None
    return card.celsius - float(value_c_from_f(card.fahrenheit))


def history(rows: Iterable[tuple[str, str, float, float]]) -> History:
    """Return the history of earlier cards: rows of team, thermometer, celsius, fahrenheit (NaN: none)."""
    uses: dict[str, list[Use]] = defaultdict(list)
    cards = with_c = with_f = 0
    for team, number, celsius, fahrenheit in rows:
        has_c, has_f = celsius == celsius, fahrenheit == fahrenheit
        if not has_c and not has_f:
            continue
        cards, with_c, with_f = cards + 1, with_c + has_c, with_f + has_f
        if number and has_c and has_f:
            uses[number].append(Use(team, celsius - float(value_c_from_f(fahrenheit))))
    return History(dict(uses), cards, with_c, with_f)


def _form(card: Card, thermometer: Thermometer, expected: Mapping[str, bool]) -> Iterable[Kind]:
    cells = {
        "celsius": (entry.parse(card.celsius_written), "C", thermometer.lowest_c, thermometer.highest_c),
        "fahrenheit": (
            entry.parse(card.fahrenheit_written), "F",
            thermometer.lowest_c * 1.8 + 32.0, thermometer.highest_c * 1.8 + 32.0,
        ),
    }  # fmt: skip
    values = [cell.value for cell, *_ in cells.values()]
    absent = any(cell.kind in ("absent", "broken") for cell, *_ in cells.values())
    for scale, (cell, letter, low, high) in cells.items():
        if cell.kind == "unreadable":
            yield "not a number"
        elif cell.unit is not None and cell.unit != letter:
            yield "other unit"
        elif cell.value is not None and not low <= cell.value <= high:
            yield "off the scale"
        elif cell.value is None and not absent and expected[scale] and any(v is not None for v in values):
            yield "missing"


def _apart(difference: float, earlier: Sequence[Use], thermometer: Thermometer) -> bool:
    """Tell whether two scales are further apart than this thermometer's marks and its plates explain."""
    limit = two_scale_limit(thermometer)
    own = statistics.median(use.difference_c for use in earlier) if _turned(earlier, thermometer) else 0.0
    return abs(difference - own) > limit


def _turned(earlier: Sequence[Use], thermometer: Thermometer) -> bool:
    """Tell whether two teams were asked about this number for a gap on the same side, and most uses agree."""
    limit = two_scale_limit(thermometer)
    for sign in (1.0, -1.0):
        apart = [use for use in earlier if sign * use.difference_c > limit]
        if len({use.team for use in apart}) >= TEAMS_ASKED and 2 * len(apart) >= len(earlier):
            return True
    return False
