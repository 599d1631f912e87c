"""``station setup``: the set-up check of the probe in plain steps, once before the first day."""

from __future__ import annotations

import datetime as dt
import time
from pathlib import Path
from typing import TYPE_CHECKING, get_args

import click

from station.views import wording_line

if TYPE_CHECKING:
    from station.line.port import Port
    from station.line.protocol import Decoder, Question
    from station.line.setup import Step
    from station.store import Book

#: Lines may come every ten seconds, so a first value can take this long, s.
_FIRST_S = 30.0
_STEPS = ("number", "hand", "ice", "soak", "clock")


@click.command()
@click.argument("book", type=click.Path(path_type=Path))
@click.option(
    "--port", default="", metavar="URL", help="Any pyserial URL; without it, the first likely port."
)
@click.option("--step", type=click.Choice(_STEPS), multiple=True, help="Only this step; may be repeated.")
@click.option("--hurry", type=click.FloatRange(min=1.0), default=1.0, hidden=True)
def setup(book: Path, port: str, step: tuple[str, ...], hurry: float) -> None:
    """Check the probe: a number, the warm hand, ice, ten minutes, the clock. Results are kept in BOOK."""
    from station import store
    from station.base.exceptions import PortLost
    from station.cli import live
    from station.line.port import Finder
    from station.line.protocol import Answers, Decoder

    text, _ = live.first_settings()
    new = not book.exists()
    with store.open_book(book, create=True, settings_text=text) as target:
        urls = Finder(port)()
        if not urls:
            raise PortLost(wording_line.NO_PROBE)
        decoder: Decoder[float] = Decoder(Answers.from_plain(target.recall(live.ANSWERS)))
        wire = live.open_speaking(urls[0], _FIRST_S / 2, decoder)
        if new:
            click.echo(wording_line.NEW_BOOK.format(path=book))
        try:
            _Check(target, wire, decoder, hurry).run(step or _STEPS)
        finally:
            wire.close()


class _Check:
    """One person at one probe."""

    def __init__(self, book: Book, port: Port, decoder: Decoder[float], hurry: float) -> None:
        self.book, self.port, self.decoder, self.hurry = book, port, decoder, hurry
        self.last_c = float("nan")

    def run(self, steps: tuple[str, ...]) -> None:
        """Take the steps in order; each can be left out with Ctrl-C or by answering no."""
        for name in steps:
            click.echo()
            getattr(self, name)()

    def number(self) -> None:
        from station.line.setup import see_a_number

        click.echo(wording_line.STEP_NUMBER)
        values = self._listen(_FIRST_S, enough=2)
        if not values and self.decoder.question is not None:
            self._answer(self.decoder.question)
            values = self._listen(_FIRST_S, enough=1)
        if len(self.decoder.sensors) > 1:
            self._which_sensor()
            values = self._listen(_FIRST_S, enough=1)
        self._keep("number", see_a_number(values))

    def hand(self) -> None:
        from station.line.setup import warm_by_hand

        if not self._go(wording_line.STEP_HAND):
            return
        before = self.last_c
        self._keep("hand", warm_by_hand(before, self._listen(40.0)))

    def ice(self) -> None:
        from station import settings
        from station.line.setup import in_ice, with_correction

        if not self._go(wording_line.STEP_ICE):
            return
        text = self.book.settings_text()
        values = self._listen(240.0)
        step, correction = in_ice(values, settings.parse(text).probes[""].resolution_c)
        self._keep("ice", step, reference=0.0)
        if correction is not None and click.confirm(wording_line.WRITE_CORRECTION, default=True):
            self.book.set_settings_text(with_correction(text, correction), "teacher", wording_line.ICE_REASON)

    def soak(self) -> None:
        from station.line.setup import soak

        if self._go(wording_line.STEP_SOAK):
            self._keep("soak", soak(self._listen(600.0)))

    def clock(self) -> None:
        from station import settings
        from station.line.setup import Step

        zone = settings.parse(self.book.settings_text()).site.zone
        now = dt.datetime.now(dt.UTC).astimezone(zone)
        click.echo(wording_line.STEP_CLOCK.format(now=now, zone=zone))
        good = click.confirm(wording_line.SAME_CLOCK)
        words = wording_line.CLOCK_FITS if good else wording_line.CLOCK_OFF
        self._keep("clock", Step(good, words))

    def _listen(self, seconds: float, enough: int | None = None) -> list[tuple[float, float]]:
        """Return values heard in some seconds, or until there are enough; shows the latest now and then."""
        from station.line.outcome import Measured

        values: list[tuple[float, float]] = []
        begin = shown = time.monotonic()
        while (at := time.monotonic()) - begin < seconds / self.hurry and len(values) < (enough or 10**9):
            for result in self.decoder.feed(self.port.read(), at):
                if isinstance(result, Measured) and result.sensor == "":
                    values.append(((at - begin) * self.hurry, result.celsius))
                    self.last_c = result.celsius
            if values and at - shown > 5.0:
                shown = at
                left = max(seconds / self.hurry - (at - begin), 0.0)
                click.echo(wording_line.TO_GO.format(celsius=self.last_c, seconds=left))
        return values

    def _answer(self, question: Question) -> None:
        """Ask which number is the temperature and in which unit; the book keeps the answer."""
        from station.cli import live
        from station.line.outcome import Unit
        from station.line.protocol import Answer, Answers

        click.echo(wording_line.WHICH_NUMBER.format(question=question.text))
        for i, candidate in enumerate(question.candidates, 1):
            click.echo(f"  {i}: {candidate.name or wording_line.THE_NUMBER} = {candidate.text}")
        pick = click.prompt(wording_line.PICK, type=click.IntRange(1, len(question.candidates)))
        units: dict[str, Unit] = {unit: unit for unit in get_args(Unit) if unit}
        unit = click.prompt(wording_line.UNIT, type=click.Choice(list(units)), default="celsius")
        shapes = {**self.decoder.answers.shapes}
        shapes[question.shape] = Answer({question.candidates[pick - 1].name: ""}, units[unit])
        self.decoder.answers = Answers(shapes, self.decoder.answers.sensors)
        self.book.remember(live.ANSWERS, self.decoder.answers.plain())

    def _which_sensor(self) -> None:
        """Ask which of several sensors is the probe at the place; the book keeps the answer."""
        from station.cli import live
        from station.line.protocol import Answers

        heard = sorted(self.decoder.sensors.items())  # not by who spoke first, which changes
        click.echo(wording_line.WHICH_SENSOR)
        for i, (sensor, celsius) in enumerate(heard, 1):
            click.echo(f"  {i}: {sensor} = {celsius:.2f} °C")
        pick = click.prompt(wording_line.PICK_SENSOR, type=click.IntRange(1, len(heard)))
        named = {heard[pick - 1][0]: ""}
        for sensor, _ in heard:
            if sensor not in named and (
                name := click.prompt(
                    wording_line.NAME_SENSOR.format(sensor=sensor), default="", show_default=False
                )
            ):
                named[sensor] = name
        self.decoder.answers = Answers(self.decoder.answers.shapes, named)
        self.book.remember(live.ANSWERS, self.decoder.answers.plain())

    def _go(self, words: str) -> bool:
        click.echo(words)
        return click.confirm(wording_line.READY, default=True)

    def _keep(self, kind: str, step: Step, reference: float | None = None) -> None:
        """Say what was found and keep it among the checks; nothing is kept where there is no answer."""
        click.echo(f"  {step.words}")
        if step.good is None:
            return
        reading = step.reading_c if step.reading_c == step.reading_c else None
        cells = {"date": dt.date.today(), "kind": f"probe {kind} {'good' if step.good else 'not good'}",
                 "thermometer": "", "scale": "celsius", "reader": "teacher", "reference": reference,
                 "reading": reading}  # fmt: skip
        self.book.add_row("checks", cells, "teacher")
