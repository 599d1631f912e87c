"""Score one checked class against its truth: readings, teams, thermometers, moved cards, probe, clock."""

from __future__ import annotations

import datetime as dt
import math

import numpy as np
import pandas as pd
from counting import Score
from truth import HABITS, effective_bias, exceeds, plain_offsets, true_kinds, truth_rows

from station.assess import Assessment
from station.comparison.effects import centre_weights
from station.scenario.plan import Scenario, Trouble

SAID = 0.8


def score_class(seed: int, s: Scenario, a: Assessment, score: Score) -> None:
    """Score everything of one class."""
    rows = truth_rows(s, a)
    readings(seed, s, a, rows, score)
    teams(seed, s, a, rows, score)
    changes(seed, s, a, score)
    tubes(seed, s, a, score)
    moves(seed, s, a, rows, score)
    probe(seed, s, a, score)
    clock(seed, s, a, score)
    baselines(s, a, rows, score)


def readings(seed: int, s: Scenario, a: Assessment, rows: pd.DataFrame, score: Score) -> None:
    """Score the causes of single readings."""
    causes = a.findings.causes
    said = causes[causes["probability"] >= SAID].groupby("row")["kind"].first()
    groups = causes.groupby(["row", "group"])["probability"].sum().clip(upper=1.0)
    top = groups.groupby("row").idxmax()
    for row in np.flatnonzero(rows["clean"]):
        score.add("clean readings with a cause said", row in said.index)
        if row in said.index:
            score.misses.append(f"{seed} clean row {row} said {said[row]}")
    watched = {
        "scales_swapped": "entry", "same_scale_twice": "entry", "ten_off": "side", "minus_dropped": "entry",
        "counted_wrong_way": "side", "digits_transposed": "entry", "copied_last_session": "entry",
        "small_marks": "side",
    }  # fmt: skip
    for row in np.flatnonzero(rows["slip"].isin(list(watched)) & ~rows["moved"]):
        kind = rows["slip"].iloc[row]
        if s.plan.written != "both":
            continue  # a slip on a scale that is not written leaves no trace
        if kind == "minus_dropped" and rows["air_c"].iloc[row] > -2.0:
            continue
        best = top.get(row)
        right = best is not None and groups[best] >= 0.5 and best[1].endswith(watched[kind])
        score.add(f"right group: {kind}", right)
        if not right and kind in ("scales_swapped", "same_scale_twice", "ten_off", "minus_dropped"):
            score.misses.append(f"{seed} row {row} {kind} top {best}")
    truths = {row: true_kinds(rows.iloc[row]) for row in np.flatnonzero(rows["there"])}
    for row, kind, _group, p in causes.itertuples(index=False):
        if row in truths and kind != "unexplained":
            kinds = truths[row]
            score.claims.append((seed, p, any(k == kind for k, _ in kinds)))
    for (row, group), p in groups.items():
        if row in truths and group:
            true = any(g == group for _, g in truths[row])
            score.group_claims.append((seed, p, true))


def teams(seed: int, s: Scenario, a: Assessment, rows: pd.DataFrame, score: Score) -> None:
    """Score what is said of teams."""
    true = effective_bias(s, rows)
    zero = float(centre_weights(true.to_numpy()) @ true.to_numpy())
    table = a.teams.set_index("team")
    clocked = {
        d for turn in s.plan.probe.clock for d in pd.date_range(turn.start.date(), turn.end.date()).date
    }
    for team in s.plan.teams:
        if team.name not in table.index:
            continue
        found = a.findings.teams[team.name]
        if not team.plants and abs(true[team.name] - zero) <= 0.3:
            named = a.findings.team_states[team.name] in ("worth a look", "clear")
            score.add("honest teams named", named)
            if named:
                score.misses.append(f"{seed} honest {team.name} named {[f.kind for f in found]}")
        row = table.loc[team.name]
        if not team.plants and math.isfinite(row["bias"]):
            value = true[team.name] - zero
            score.add("limits of team bias cover", bool(row["bias_low"] <= value <= row["bias_high"]))
        for plant in team.plants:
            mine = rows[(rows["team"] == team.name) & rows["there"] & ~rows["date"].isin(clocked)]
            mine = mine.sort_values(["true_date", "true_session"], ascending=[True, False])
            if s.plan.written != "both" and plant.kind not in ("bulb_warmed", "eye_line", "read_too_soon"):
                continue
            if plant.kind not in HABITS or not exceeds(plant.kind, mine, team, s):
                continue
            hit = any(f.kind == plant.kind for f in found)
            score.add("teams with a planted habit found with it", hit)
            score.add(f"habit found: {plant.kind}", hit)
            if not hit:
                kinds = [f.kind for f in found]
                score.misses.append(
                    f"{seed} {team.name} {plant.kind} {plant.rate:.2f} {plant.size:.2f} {kinds}"
                )
        for finding in found:
            if team.plants and finding.kind not in {p.kind for p in team.plants}:
                score.add(f"another habit said: {finding.kind}", True)


def changes(seed: int, s: Scenario, a: Assessment, score: Score) -> None:
    """Score what is said to have come of coaching and of new pairs."""
    by_team = {team.name: team for team in s.plan.teams}
    for change in a.findings.changes:
        plants = [plant for plant in by_team[change.team].plants if plant.kind == change.kind]
        if change.verdict == "too early":
            continue
        helped = change.verdict == "helped"
        ended = any(plant.last is not None and plant.last < change.date for plant in plants)
        went_on = any(plant.last is None for plant in plants)
        if ended or went_on:
            score.add(f"helped said where the habit {'ended' if ended else 'went on'}", helped)
            score.add(f"helped said where the habit {'ended' if ended else 'went on'}: {change.kind}", helped)
        if helped and went_on:
            score.misses.append(f"{seed} {change} went on")


def tubes(seed: int, s: Scenario, a: Assessment, score: Score) -> None:
    """Score offsets, plates and separated columns; where only F is written no plate can show as such."""
    both = s.plan.written == "both"
    plain = plain_offsets(s.plan)
    true = plain - float(centre_weights(plain) @ plain)
    table = a.thermometers.set_index("number")
    for tube, offset in zip(s.plan.tubes, true, strict=True):
        if tube.number not in table.index:
            continue
        row, kinds = table.loc[tube.number], {f.kind for f in a.findings.thermometers[tube.number]}
        told = f"{seed} tube {tube.number} offset {offset:.2f} said {row['offset']:.2f} {kinds}"
        if not tube.step_date and math.isfinite(row["offset"]):
            covers = bool(row["offset_low"] <= offset <= row["offset_high"])
            score.add("limits of thermometer offset cover", covers)
        if tube.step_date is None and abs(offset) > 1.0:
            hit = "thermometer_offset" in kinds and abs(row["offset"] - offset) <= 0.3
            score.add("warm or cool thermometer found within 0.3", hit)
            if not hit:
                score.misses.append(told)
        if tube.plate_f and both:
            hit = "scale_plate_slipped" in kinds
            score.add("slipped plate found", hit)
            if not hit:
                score.misses.append(f"{told} plate {tube.plate_f:.1f}")
        if tube.step_date:
            score.add("separated column found", "column_separated" in kinds)
        if not tube.step_date and not tube.plate_f and abs(offset) <= 0.5:
            score.add("sound thermometers flagged", bool(kinds))
            if kinds:
                score.misses.append(f"sound: {told}")


def moves(seed: int, s: Scenario, a: Assessment, rows: pd.DataFrame, score: Score) -> None:
    """Score crossed half-days and wrong dates."""
    by_row = {row: match for match in a.findings.moves for row in match.rows}
    for date in s.plan.crossed_days:
        mine = np.flatnonzero(rows["there"] & (rows["true_date"] == date) & (rows["date"] == date))
        hit = np.mean([row in by_row and by_row[row].kind == "wrong_half_day" for row in mine]) > 0.5
        score.add("half-day found", bool(hit))
        if not hit:
            air = rows[rows["true_date"] == date].groupby("true_session")["air_c"].median()
            score.misses.append(f"{seed} half-day {date} missed {air.round(1).to_dict()}")
    if not s.plan.crossed_days:
        score.add("half-day said where none", any(m.kind == "wrong_half_day" for m in a.findings.moves))
    for row in np.flatnonzero(rows["there"] & (rows["true_date"] != rows["date"])):
        hit = (
            row in by_row
            and by_row[row].kind == "wrong_date"
            and by_row[row].true[0] == rows["true_date"].iloc[row]
        )
        score.add("wrong date found", hit)
        if not hit:
            air = rows.groupby(["true_date", "true_session"])["air_c"].median()
            part = rows["true_session"].iloc[row]
            pair = [air.get((rows[c].iloc[row], part), math.nan) for c in ("true_date", "date")]
            score.misses.append(f"{seed} wrong date row {row} air true/typed {np.round(pair, 1).tolist()}")
    for row, match in by_row.items():
        if match.kind == "wrong_date":
            right = rows["true_date"].iloc[row] != rows["date"].iloc[row]
            score.add("wrong date said where none", not right)
            if not right:
                score.misses.append(f"{seed} wrong date false row {row} {match.typed}->{match.true}")


#: Kind of a planted trouble -> kind of the fault that names it.
FAULTS = {
    "asleep": "gap", "power_on_value": "power_on_value", "disconnected_value": "disconnected_value",
    "indoors": "indoors", "stuck": "stuck", "step": "step",
}  # fmt: skip
#: Share of a trouble's school hours that its fault must hold, and step of the comparison [min].
HELD, EVERY_MIN = 0.8, 10.0
#: A fault may begin and end so much beside its trouble.
EDGE = dt.timedelta(minutes=20)


def probe(seed: int, s: Scenario, a: Assessment, score: Score) -> None:
    """Score the faults of the probe in school hours; a record with a turned clock is left out."""
    plan = s.plan
    if plan.probe.clock:
        return
    hours = _school_hours(s)
    planted = np.zeros(len(hours), dtype=bool)
    for trouble in plan.probe.troubles:
        mine = (hours >= trouble.start) & (hours < trouble.end)
        planted |= (hours >= trouble.start - EDGE) & (hours < trouble.end + EDGE)
        held = np.zeros(len(hours), dtype=bool)
        for fault in a.probe.faults:
            if fault.kind == FAULTS[trouble.kind]:
                held |= (hours >= fault.start) & (hours <= fault.end)
        if mine.sum() < 60.0 / EVERY_MIN:
            continue
        hit = bool(np.mean(held[mine]) >= HELD)
        score.add("probe fault found", hit)
        score.add(f"probe fault found: {trouble.kind}", hit)
        if trouble.kind == "step":
            score.add(
                "step of the probe named, or a session of it said to miss as a whole",
                hit or _missed_as_a_whole(a, trouble),
            )
        if not hit:
            said = [(f.kind, str(f.start)[:16], str(f.end)[11:16]) for f in a.probe.faults]
            score.misses.append(
                f"{seed} probe {trouble.kind} {trouble.start} {trouble.end} {np.mean(held[mine]):.2f} {said}"
            )
    wrong = np.zeros(len(hours), dtype=bool)
    for fault in a.probe.faults:
        if fault.kind != "sun":  # the sun is the place's, scored there
            wrong |= ~planted & (hours >= fault.start) & (hours <= fault.end)
    score.add("classes with a probe fault said where none", bool(wrong.any()))
    if wrong.any():
        score.misses.append(f"{seed} probe false {[f for f in a.probe.faults if f.kind != 'sun']}")


def _missed_as_a_whole(a: Assessment, trouble: Trouble) -> bool:
    during = a.sessions[(a.sessions["start"] >= trouble.start) & (a.sessions["start"] < trouble.end)]
    return any("whole_class" in notes for notes in during["notes"])


def _school_hours(s: Scenario) -> pd.DatetimeIndex:
    """Return every few minutes of the school hours of the run."""
    school, zone = s.plan.school, s.plan.site.zone
    assert school.first is not None
    assert school.last is not None
    every = pd.date_range(
        pd.Timestamp(school.first, tz=zone), pd.Timestamp(school.last, tz=zone) + pd.Timedelta(days=1),
        freq=pd.Timedelta(minutes=EVERY_MIN),
    )  # fmt: skip
    at = every.hour * 60 + every.minute
    start, end = (t.hour * 60 + t.minute for t in (school.day_start, school.day_end))
    days = {day: school.is_school_day(day) for day in set(every.date)}
    return every[(at > start) & (at < end) & np.array([days[day] for day in every.date])]


def clock(seed: int, s: Scenario, a: Assessment, score: Score) -> None:
    """Score the clock."""
    shifts = a.findings.clock
    if not s.plan.probe.clock:
        score.add("clock said where none", bool(shifts))
        if shifts:
            score.misses.append(f"{seed} clock false {shifts}")
        return
    turn = s.plan.probe.clock[0]
    hit = any(
        x.shift_minutes == -turn.shift_minutes and x.first <= turn.end.date() and x.last >= turn.start.date()
        for x in shifts
    )
    score.add("clock error of an hour found", hit)
    if s.plan.school_days_only:
        score.add("clock error of an hour found, school days only", hit)
    if not hit:
        score.misses.append(f"{seed} clock missed {turn} {shifts} school={s.plan.school_days_only}")


def baselines(s: Scenario, a: Assessment, rows: pd.DataFrame, score: Score) -> None:
    """Score two plain rules beside."""
    error, band = a.readings["error"], a.readings["band"]
    for row in np.flatnonzero(rows["clean"] & error.notna()):
        score.add("baseline: clean readings with |error| over the band", bool(abs(error[row]) > band[row]))
    known = a.readings[error.notna()].assign(order=np.arange(int(error.notna().sum())))
    for team in s.plan.teams:
        if team.plants:
            continue
        mine = known.loc[known["team"] == team.name, "error"].to_numpy()
        named = False
        for n in range(4, mine.size + 1, 4):  # looked at every few sessions
            se = mine[:n].std(ddof=1) / math.sqrt(n)
            named |= bool(abs(mine[:n].mean()) > 2.0 * se)
        score.add("baseline: honest teams with a bias over 2 SE after 4 readings", named)
