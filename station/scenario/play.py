"""Play a plan: weather, probe and every session of the class, into frames with their truth."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd

from station.base.time import to_utc
from station.record.columns import READINGS, SAMPLES, TABLES, Frames, check, empty
from station.record.model import SessionPart
from station.scenario.plan import COLUMN, MANNERS, SLIPS, ClassPlan, Plant, Scenario, TeamPlan
from station.scenario.probe import record, school_hours, sun_excess
from station.scenario.pupils import Card, Moment, column_excess, in_manner, read_marks, slip, unsettled
from station.scenario.settings_text import settings_text
from station.scenario.weather import Array, Weather, draw_weather

#: Weather step at least this fine [s].
_STEP_S = 60
#: Standard deviation of the classroom's temperature from session to session [degC] (invented).
_ROOM_SD_C = 0.7
#: Slips that belong to nobody's pattern, with invented weights.
_BACKGROUND = {
    "ten_off": 3, "scales_swapped": 2, "scale_missing": 2, "counted_wrong_way": 2, "same_scale_twice": 1,
    "digits_transposed": 1, "wrong_thermometer_number": 1, "copied_last_session": 1,
}  # fmt: skip


@dataclass
class _Class:
    """What runs on from one session to the next."""

    plan: ClassPlan
    rng: np.random.Generator
    weather: Weather
    seconds: Array
    sun_c: Array
    last_card: dict[str, Card]
    rows: list[dict[str, Any]]


def play(plan: ClassPlan) -> Scenario:
    """Return the recording that this plan gives, and its truth; the same for the same plan."""
    first, last = plan.school.first, plan.school.last
    if first is None or last is None:
        raise ValueError("a class plan needs the first and last date of its run")
    streams = [np.random.default_rng(child) for child in np.random.SeedSequence(plan.seed).spawn(4)]
    step = min(plan.probe.interval_s, _STEP_S)
    weather = draw_weather(streams[0], plan.weather, plan.site, first, last, step)
    sun_c = sun_excess(streams[1], weather, plan.site, plan.window)
    samples = record(
        streams[2], weather, sun_c, plan.probe, plan.probe_as_stated.resolution_c, plan.sessions.indoor_c
    )
    if plan.school_days_only:
        samples = school_hours(samples, plan.site, plan.school)

    seconds = weather.time.astype("datetime64[s]").astype(np.float64)
    group = _Class(plan, streams[3], weather, seconds, sun_c, {}, [])
    index = 0
    for n in range((last - first).days + 1):
        date = first + dt.timedelta(days=n)
        if not plan.school.is_school_day(date):
            continue
        for part in plan.sessions.parts:
            _session(group, date, part, index)
            index += 1
    readings, truth = _tables(group.rows)
    frames = Frames(
        probes={"": check(samples[list(SAMPLES)], SAMPLES, "the played probe record")},
        readings=readings,
        tables=_small_tables(plan),
    )
    return Scenario(plan, frames, truth, settings_text(plan))


def _session(group: _Class, date: dt.date, part: SessionPart, index: int) -> None:
    """Add one session's rows."""
    plan, rng = group.plan, group.rng
    start = to_utc(date, part.start, plan.site.zone).timestamp()
    indoor = plan.sessions.indoor_c + _ROOM_SD_C * rng.standard_normal()
    drawn = np.arange(len(plan.tubes)) if plan.fixed_tubes else rng.permutation(len(plan.tubes))
    cards: dict[str, Card] = {}
    for team, tube_index in zip(plan.teams, drawn, strict=False):
        tube = plan.tubes[tube_index]
        row = _typed_under(plan, team.name, date, part.name)
        if rng.random() < plan.absences:
            if rng.random() < 0.6:
                group.rows.append(row | _absent(date, part.name))
            continue
        acting = [plant for plant in team.plants if plant.covers(date) and _happens(rng, plant, index)]
        kinds = {plant.kind for plant in acting}
        soon = next((plant for plant in acting if plant.kind == "read_too_soon"), None)
        waited = soon.size * rng.uniform(0.85, 1.15) if soon else team.wait_minutes * rng.uniform(0.85, 1.3)
        read_at = start + 60.0 * rng.uniform(0.35, 0.85) * part.minutes
        air = float(group.weather.air_at(read_at))
        moment = Moment(
            air_c=air,
            indoor_c=indoor,
            waited=waited,
            sunshine=float(np.interp(read_at, group.seconds, group.weather.sunshine)),
            time_constant_s=plan.box.time_constant_s * rng.uniform(0.9, 1.1),
            carried=plan.sessions.thermometers == "carried",
        )
        lag = unsettled(moment)
        causes = {plant.kind: column_excess(rng, plant, moment) for plant in acting if plant.kind in COLUMN}
        if "read_too_soon" in causes:
            causes["read_too_soon"] = lag
        excess = sum(causes.values()) + (0.0 if "read_too_soon" in causes else lag)
        sun = float(np.interp(read_at, group.seconds, group.sun_c)) * rng.uniform(0.1, 0.9)
        column = air + sun + excess + team.bias_c + tube.offset_on(date)
        c, f = read_marks(rng, column, tube.plate_f, plan.scatter_c, plan.box, team.half_marks)
        number = tube.number if plan.numbers_from is None or date >= plan.numbers_from else ""
        card = Card(c, f, number)
        manner = ""
        for kind in kinds & set(MANNERS):
            new = cards.get(_neighbour(plan, team), card) if kind == "same_numbers" else in_manner(kind, card)
            new = replace(new, thermometer=number)
            manner = kind if new != card or kind == "converted_not_read" else manner
            card = new
        card, slipped = _slip(group, team, acting, card)
        cards[team.name] = group.last_card[team.name] = card
        if plan.written == "fahrenheit":
            card = replace(card, celsius=None)
        strongest = max(causes, key=lambda kind: abs(causes[kind]), default="")
        group.rows.append(
            row
            | {
                "thermometer": card.thermometer,
                "celsius_written": "" if card.celsius is None else f"{card.celsius:g}",
                "fahrenheit_written": "" if card.fahrenheit is None else f"{card.fahrenheit:g}",
                "celsius": card.celsius,
                "fahrenheit": card.fahrenheit,
                "time": pd.Timestamp(int(read_at // 60) * 60, unit="s", tz="UTC")
                if plan.times_written
                else None,
                "waited": float(np.rint(waited * 2) / 2) if plan.waits_written else None,
                "true_date": date,
                "true_session": part.name,
                "true_thermometer": tube.number,
                "air_c": air,
                "column_c": column,
                "excess_c": excess,
                "column_kind": strongest if strongest and abs(causes[strongest]) > 0.0 else "",
                "slip": slipped,
                "manner": manner,
                "sun_c": sun,
            }
        )


def _slip(group: _Class, team: TeamPlan, acting: list[Plant], card: Card) -> tuple[Card, str]:
    """Return the card after at most one slip, and the slip's kind if it changed the card."""
    plan, rng = group.plan, group.rng
    plants = [plant for plant in acting if plant.kind in SLIPS]
    if rng.random() < plan.background:
        weights = np.array(list(_BACKGROUND.values()), dtype=np.float64)
        kind = str(rng.choice(list(_BACKGROUND), p=weights / weights.sum()))
        plants.append(Plant(kind, scale="celsius" if rng.random() < 0.5 else "fahrenheit"))
    for plant in plants:
        if plant.kind == "copied_last_session":
            previous = group.last_card.get(team.name, card)
            new = replace(previous, thermometer=card.thermometer)
        else:
            new = slip(rng, plant, card, plan.box, tuple(tube.number for tube in plan.tubes))
        if new != card and (card.thermometer or plant.kind != "wrong_thermometer_number"):
            return new, plant.kind
    return card, ""


def _happens(rng: np.random.Generator, plant: Plant, index: int) -> bool:
    chance = rng.random()
    return index % plant.every == plant.every - 1 if plant.every else bool(chance < plant.rate)


def _neighbour(plan: ClassPlan, team: TeamPlan) -> str:
    """Return the team whose card this one can see: the one before it in the list."""
    return plan.teams[plan.teams.index(team) - 1].name


def _typed_under(plan: ClassPlan, team: str, date: dt.date, part: str) -> dict[str, Any]:
    """Return date and session as typed."""
    names = [each.name for each in plan.sessions.parts]
    if date in plan.crossed_days:
        part = names[len(names) - 1 - names.index(part)]
    for who, true, typed in plan.misdated:
        if who == team and true == date:
            date = typed
    return {"date": date, "session": part, "team": team}


def _absent(date: dt.date, part: str) -> dict[str, Any]:
    return {
        "thermometer": "", "celsius_written": "absent", "fahrenheit_written": "absent",
        "true_date": date, "true_session": part,
    }  # fmt: skip


def _tables(rows: list[dict[str, Any]]) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Return readings and truth, row for row."""
    raw = pd.DataFrame(rows).reindex(columns=[*READINGS, *TRUTH])
    raw["line"] = np.arange(2, len(raw) + 2)
    kinds = {**READINGS, **TRUTH}
    for name in [name for name, kind in kinds.items() if kind == "str"]:
        raw[name] = raw[name].astype("object").where(raw[name].notna(), "")
    raw["time"] = pd.to_datetime(raw["time"], utc=True)
    raw = raw.astype(kinds)
    readings = raw[list(READINGS)].copy()
    return check(readings, READINGS, "the played readings"), raw[list(TRUTH)].copy()


#: Columns of ``Scenario.truth``.
TRUTH = {
    "true_date": "object", "true_session": "str", "true_thermometer": "str", "air_c": "float64",
    "column_c": "float64", "excess_c": "float64", "column_kind": "str", "slip": "str", "manner": "str",
    "sun_c": "float64",
}  # fmt: skip


def _small_tables(plan: ClassPlan) -> dict[str, pd.DataFrame]:
    """Return coaching and pairs as their files hold them."""
    coaching = [(t.name, date, topic) for t in plan.teams for date, topic in t.coached]
    pairs = [(t.name, date, "new pair") for t in plan.teams for date in t.new_pair]
    tables = {}
    for name, rows in (("coaching", coaching), ("pairs", pairs)):
        if rows:
            columns = TABLES[name]
            frame = pd.DataFrame(rows, columns=list(columns)).sort_values(["date", "team"], ignore_index=True)
            tables[name] = frame.astype({key: kind for key, kind in columns.items() if kind == "str"})
        else:
            tables[name] = empty(TABLES[name])
    return {name: frame for name, frame in tables.items() if len(frame)}
