"""The class screen: the staged reveal, step by step; no team on the wire, the probe only in its own step."""

from __future__ import annotations

import math
import statistics
import time
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from station.base.exceptions import BadEntry
from station.comparison.band import band_for
from station.comparison.error import two_scale_limit
from station.record import entry
from station.record.model import Session
from station.store import Card
from station.views import phrases
from station.views.web import entries, say, scale, wording
from station.views.web.desk import Desk
from station.views.web.doubts import two_scales
from station.views.web.render import render, text

LONG = ("predict", "dots", "vote", "number", "marks", "promise", "probe", "question")
SHORT = ("dots", "number", "probe")
FORMS = {"long": LONG, "short": SHORT}
#: A card further than this from the class's middle waits for a second look [degC]; no probe is needed for it.
FAR_C = 5.0


@dataclass(frozen=True)
class ScreenPage:
    """One step as the class sees it: a question, a sentence, a picture. Nothing here knows a team.

    ``back`` and ``on`` are addresses of neighbouring steps, empty at the ends; ``reveals`` is the session's
    key where going on shows the probe for the first time.
    """

    title: str
    sentence: str
    more: str
    picture: scale.Drawing | None
    back: str
    on: str
    reveals: str
    form: str
    step: int
    steps: int
    dark: bool
    falling: bool


@dataclass(frozen=True)
class Shown:
    """A session's numbers in the class's scale: those shown, how many wait, and the unit."""

    values: tuple[float, ...]
    waiting: int
    unit: str
    degree_c: float

    def say(self, value: float, digits: int = 0) -> str:
        """Return a value with the class's unit."""
        if digits == 0 and not math.isclose(value, round(value), abs_tol=1e-6):
            digits = 1
        return f"{phrases.number(value, digits)}{phrases.NARROW}{self.unit}"


def screen(desk: Desk, request: Request) -> Response:
    """Show one step."""
    of, form, at = _where(desk, request)
    steps = FORMS[form]
    name = steps[at]
    hand = desk.in_hand()
    if hand is not None and hand.session == of and hand.step == "cards":
        raise BadEntry(wording.TOGETHER_OPEN)
    if name in ("probe", "question") and not desk.is_shown(of):
        return RedirectResponse(_address(of, form, steps.index("probe") - 1, request), 303)
    shown = shown_values(desk, of)
    title, sentence, more = _words(desk, of, name, shown)
    following = steps[at + 1] if at + 1 < len(steps) else ""
    reveals = following == "probe" and not desk.is_shown(of)
    page = ScreenPage(
        title=title,
        sentence=sentence,
        more=more,
        picture=_picture(desk, of, name, shown),
        back=_address(of, form, at - 1, request) if at else "",
        on=_address(of, form, at + 1, request) if following and not reveals else "",
        reveals=say.key(of) if reveals else "",
        form=form,
        step=at + 1,
        steps=len(steps),
        dark=request.query_params.get("room") == "dark",
        falling=name == "dots",
    )
    desk.screen_shown_s = time.monotonic()
    return render(request, "screen.html", page)


def reveal(desk: Desk, request: Request, form: FormData) -> Response:
    """Show the probe from now on: the one step that is taken by a form, so that no stray address takes it."""
    of, kind, at = _where(desk, request)
    hand = desk.in_hand()
    if hand is None or hand.session != of:
        raise BadEntry(wording.TOGETHER_NOT_IN_HAND)
    if hand.step == "in":
        desk.agenda.change(step="shown")
    suffix = "?room=dark" if text(form, "room") == "dark" else ""
    return RedirectResponse(f"/screen/{say.key(of)}/{kind}/{at + 2}{suffix}", 303)


def shown_values(desk: Desk, of: Session) -> Shown:
    """Return the numbers that the class sees, and how many cards wait for a second look."""
    fahrenheit = desk.settings.school.class_scale == "fahrenheit"
    cards = [c for c in entries.cards(desk, of) if _value(c, fahrenheit) is not None]
    values = [v for c in cards if (v := _value(c, fahrenheit)) is not None]
    middle = statistics.median(values) if values else 0.0
    degree = 1.8 if fahrenheit else 1.0
    apart = [_apart(desk, c) or abs(v - middle) > FAR_C * degree for c, v in zip(cards, values, strict=True)]
    hand = desk.in_hand()
    if hand is not None and hand.session == of and hand.all_dots:
        apart = [False] * len(apart)
    kept = [v for v, far in zip(values, apart, strict=True) if not far]
    unit = wording.FAHRENHEIT if fahrenheit else wording.CELSIUS
    return Shown(tuple(scale.lanes(kept, str(of))), sum(apart), unit, degree)


def _value(card: Card, fahrenheit: bool) -> float | None:
    return card.fahrenheit if fahrenheit else card.celsius


def _apart(desk: Desk, card: Card) -> bool:
    difference = two_scales(card)
    return difference is not None and abs(difference) > two_scale_limit(
        desk.settings.thermometer(card.thermometer)
    )


def _where(desk: Desk, request: Request) -> tuple[Session, str, int]:
    params = request.path_params
    of = Session(entry.date(params["date"]), params["part"])
    form, step = params["form"], params["step"]
    if desk.part(of.part) is None or form not in FORMS or not 1 <= step <= len(FORMS[form]):
        raise BadEntry(wording.NOT_FOUND)
    return of, form, step - 1


def _address(of: Session, form: str, at: int, request: Request) -> str:
    dark = "?room=dark" if request.query_params.get("room") == "dark" else ""
    return f"/screen/{say.key(of)}/{form}/{at + 1}{dark}"


def _words(desk: Desk, of: Session, name: str, shown: Shown) -> tuple[str, str, str]:
    """Return question, sentence and small words of a step."""
    title = wording.SCREEN_TITLES[name]
    if name == "predict":
        hand = desk.in_hand()
        hands = hand.predictions if hand is not None and hand.session == of else None
        return title, "" if hands is None else wording.SCREEN_HANDS.format(n=hands), ""
    if not shown.values:
        return title, wording.SCREEN_EMPTY, ""
    if name in ("dots", "vote"):
        return title, _spread(shown), _waiting(shown)
    if name == "number":
        return title, _number(desk, of, shown), wording.SCREEN_RULE
    if name == "marks":
        return title, wording.SCREEN_MARKS.format(mark=shown.say(_mark(desk, shown), 0)), ""
    if name == "promise":
        band = _band(desk, shown)
        if band is None:
            return title, wording.SCREEN_NO_PROMISE, ""
        half, basis = band
        return (
            title,
            wording.SCREEN_PROMISE.format(half=shown.say(half, 1)),
            wording.SCREEN_BASIS.format(basis=basis),
        )
    if name == "probe":
        found = _reference(desk, of, shown)
        if found is None:
            return title, wording.SCREEN_NO_REFERENCE.format(why=_why_none(desk, of)), ""
        value, give = found
        return title, wording.SCREEN_PROBE.format(value=shown.say(value, 1), give=shown.say(give, 1)), ""
    return _question(desk, of, shown), "", wording.SCREEN_QUESTION_HELP


def _spread(shown: Shown) -> str:
    low, high = min(shown.values), max(shown.values)
    return wording.SCREEN_SPREAD.format(
        n=len(shown.values), low=shown.say(low), high=shown.say(high), apart=shown.say(high - low)
    )


def _waiting(shown: Shown) -> str:
    if not shown.waiting:
        return ""
    return wording.SCREEN_WAITING.format(n=shown.waiting) if shown.waiting > 1 else wording.SCREEN_WAITING_ONE


def _number(desk: Desk, of: Session, shown: Shown) -> str:
    table = desk.assessment().sessions
    row = table[(table["date"] == of.date) & (table["session"] == of.part)]
    if row.empty or math.isnan(row["median"].iloc[0]):
        return wording.SCREEN_NO_AGREEMENT_ALONE
    value, median = row["class_value"].iloc[0], row["median"].iloc[0]
    if math.isnan(value):
        return wording.SCREEN_NO_AGREEMENT.format(median=shown.say(median))
    return wording.SCREEN_NUMBER.format(value=shown.say(value), median=shown.say(median))


def _mark(desk: Desk, shown: Shown) -> float:
    box = desk.settings.box
    return box.fahrenheit_division if shown.unit == wording.FAHRENHEIT else box.celsius_division


def _band(desk: Desk, shown: Shown) -> tuple[float, str] | None:
    middle = statistics.median(shown.values)
    celsius = (middle - 32.0) / 1.8 if shown.unit == wording.FAHRENHEIT else middle
    band = band_for(desk.settings.box, celsius)
    return None if band is None else (band.half_width_c * shown.degree_c, band.basis)


def _reference(desk: Desk, of: Session, shown: Shown) -> tuple[float, float] | None:
    """Return the reference and its expanded uncertainty in the class's scale."""
    found = desk.assessment().budgets.get(of)
    if found is None:
        return None
    if shown.unit == wording.FAHRENHEIT:
        return found.value_c * 1.8 + 32.0, found.expanded_c * 1.8
    return found.value_c, found.expanded_c


def _why_none(desk: Desk, of: Session) -> str:
    table = desk.assessment().sessions
    row = table[(table["date"] == of.date) & (table["session"] == of.part)]
    kinds: Sequence[str] = row["notes"].iloc[0] if len(row) else ()
    return phrases.kind(kinds[0]) if kinds else phrases.kind("gap")


def _question(desk: Desk, of: Session, shown: Shown) -> str:
    """Return the question of the day; "nobody is wrong" only where marks and promise explain every dot."""
    found, band = _reference(desk, of, shown), _band(desk, shown)
    if found is not None and band is not None and len(set(shown.values)) >= 3 and not shown.waiting:
        allowed = band[0] + _mark(desk, shown) / 2.0
        if all(abs(value - found[0]) <= allowed for value in shown.values):
            return wording.SCREEN_QUESTION_ALL
    table = desk.assessment().thermometers
    warm = table[(table["offset_low"] > table["band"]) | (table["offset_high"] < -table["band"])]
    if len(warm):
        return wording.SCREEN_QUESTION_NUMBER.format(number=warm["number"].iloc[0])
    first = min(desk.assessment().sessions["date"], default=of.date)
    if (of.date - first).days >= 14:
        return wording.SCREEN_QUESTION_WEEKS
    return wording.SCREEN_QUESTION_ELSE


def _picture(desk: Desk, of: Session, name: str, shown: Shown) -> scale.Drawing | None:
    values = shown.values
    mark = _mark(desk, shown)
    band = _band(desk, shown) if values else None
    around = max(mark, band[0] if band else 0.0) if name in ("promise", "probe", "question") else mark
    span = scale.span_of(values, around)
    half = {"marks": mark / 2.0, "promise": band[0] if band else None}.get(name)
    probe = number = None
    if name in ("probe", "question"):
        half = band[0] if band else None
        found = _reference(desk, of, shown)
        if found is not None:
            near = [v for v in (found[0] - found[1], found[0] + found[1]) if abs(v - found[0]) < 20]
            span = scale.span_of([*values, *near], around)
            probe = scale.level(span, found[0], found[1], shown.say(found[0], 1))
    drawn, lane = scale.dots(values, span, half) if name != "predict" else ((), 0.0)
    tallies: tuple[scale.Level, ...] = ()
    if name in ("vote", "number"):
        counts = Counter(values)
        tallies = tuple(
            scale.level(span, value, 0.0, wording.SCREEN_TALLY.format(n=n, value=shown.say(value)))
            for value, n in counts.items()
            if n > 1
        )
    return scale.Drawing(
        ticks=scale.ticks(span, phrases.MINUS),
        unit=shown.unit,
        dots=drawn,
        lane=lane,
        tallies=tallies,
        probe=probe,
        number=number,
        words=_spread(shown) if drawn and values else wording.SCREEN_EMPTY_SCALE,
    )
