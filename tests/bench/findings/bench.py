"""Score the findings on invented classes whose truth is known.

    python tests/bench/findings/bench.py            300 reporting classes, prints the table (ten minutes)
    python tests/bench/findings/bench.py --tune N   N classes of the tuning seeds

Thresholds were chosen on tuning seeds only; figures are reported from the others.
"""

from __future__ import annotations

import argparse
import datetime as dt
import math
import sys
import time
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field, replace

import numpy as np
import pandas as pd
from scipy.special import betaincinv

from station.assess import Assessment, cross_check
from station.comparison.effects import centre_weights
from station.record.columns import TABLES
from station.scenario.draw import draw_class
from station.scenario.plan import Scenario, TeamPlan
from station.scenario.play import play
from station.settings import parse

TUNING, REPORTING = 100_000, 700_000
SIDES = {"celsius": "celsius side", "fahrenheit": "fahrenheit side"}
SAID = 0.8


@dataclass
class Score:
    """Counts by name: [hits, cases]; claims of causes for calibration; what went wrong, for a closer look."""

    counts: dict[str, list[int]] = field(default_factory=lambda: defaultdict(lambda: [0, 0]))
    claims: list[tuple[int, float, bool, str]] = field(default_factory=list)
    group_claims: list[tuple[int, float, bool]] = field(default_factory=list)
    misses: list[str] = field(default_factory=list)

    def add(self, name: str, hit: bool, case: int = 1) -> None:
        """Count one case."""
        self.counts[name][0] += int(hit)
        self.counts[name][1] += case


def interval(hits: int, cases: int) -> tuple[float, float]:
    """Return the exact 95 % interval of a rate (Clopper and Pearson 1934)."""
    if not cases:
        return 0.0, 1.0
    low = float(betaincinv(hits, cases - hits + 1, 0.025)) if hits else 0.0
    high = float(betaincinv(hits + 1, cases - hits, 0.975)) if hits < cases else 1.0
    return low, high


def check(scenario: Scenario) -> Assessment:
    """Cross-check a played class."""
    return cross_check(scenario.frames, parse(scenario.settings_text))


def score_class(seed: int, score: Score, clock: float | None = None) -> None:
    """Play, check and score one class."""
    scenario = play(draw_class(seed, clock_minutes=clock))
    a = check(scenario)
    rows = truth_rows(scenario, a)
    _readings(seed, scenario, a, rows, score)
    _teams(seed, scenario, a, rows, score)
    _tubes(seed, scenario, a, score)
    _moves(seed, scenario, a, rows, score)
    _clock(seed, scenario, a, score)
    _baselines(scenario, a, rows, score)


def truth_rows(scenario: Scenario, a: Assessment) -> pd.DataFrame:
    """Return readings beside their truth, with what is true of their team and thermometer."""
    plan, rows = scenario.plan, scenario.truth.copy()
    rows[["team", "date", "session", "celsius", "fahrenheit", "line"]] = a.readings[
        ["team", "date", "session", "celsius", "fahrenheit", "line"]
    ]
    rows["there"] = rows["air_c"].notna()
    rows["moved"] = (rows["true_date"] != rows["date"]) | (rows["true_session"] != rows["session"])
    tubes = {tube.number: tube for tube in plan.tubes}
    offset = [
        tubes[n].offset_on(d) if n in tubes else math.nan
        for n, d in zip(rows["true_thermometer"], rows["true_date"], strict=True)
    ]
    plain = np.array([tube.offset_c for tube in plan.tubes])
    rows["tube_offset"] = np.array(offset) - float(centre_weights(plain) @ plain)
    rows["tube_plate"] = [tubes[n].plate_f if n in tubes else 0.0 for n in rows["true_thermometer"]]
    rows["tube_step"] = [bool(n in tubes and tubes[n].step_date) for n in rows["true_thermometer"]]
    honest = {team.name: not team.plants for team in plan.teams}
    rows["honest_team"] = [honest[t] for t in rows["team"]]
    rows["clean"] = (
        rows["there"] & (rows["slip"] == "") & (rows["manner"] == "") & (rows["column_kind"] == "")
        & ~rows["moved"] & (rows["sun_c"] < 0.3) & rows["honest_team"]
        & (rows["tube_offset"].abs() <= 0.5) & (rows["tube_plate"] == 0.0) & ~rows["tube_step"]
    )  # fmt: skip
    return rows


def true_kinds(row: pd.Series, plan_scale: dict[str, str]) -> set[tuple[str, str]]:
    """Return (kind, group) pairs that are true of a reading."""
    out = set()
    if row["slip"] in ("ten_off", "counted_wrong_way", "small_marks"):
        out |= {(row["slip"], side) for side in SIDES.values()}
    elif row["slip"]:
        out.add((row["slip"], "entry"))
    if row["manner"]:
        out.add((row["manner"], "sharing" if row["manner"] == "same_numbers" else "habit"))
    if row["column_kind"]:
        out.add((row["column_kind"], "column"))
    if abs(row["tube_offset"]) > 0.5:
        out.add(("thermometer_offset", "thermometer"))
    if row["tube_plate"]:
        out.add(("scale_plate_slipped", "thermometer"))
    if row["tube_step"]:
        out |= {("column_separated", "thermometer"), ("thermometer_offset", "thermometer")}
    if row["moved"]:
        out |= {("wrong_half_day", "entry"), ("wrong_date", "entry")}
    return out


def _readings(seed: int, s: Scenario, a: Assessment, rows: pd.DataFrame, score: Score) -> None:
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
    scale: dict[str, str] = {}
    truths = {row: true_kinds(rows.iloc[row], scale) for row in np.flatnonzero(rows["there"])}
    for row, kind, _group, p in causes.itertuples(index=False):
        if row in truths and kind != "unexplained":
            kinds = truths[row]
            score.claims.append((seed, p, any(k == kind for k, _ in kinds), kind))
    for (row, group), p in groups.items():
        if row in truths and group:
            true = any(g == group for _, g in truths[row])
            score.group_claims.append((seed, p, true))


def effective_bias(s: Scenario, rows: pd.DataFrame) -> pd.Series:
    """Return each team's true mean bias with its column habits [degC]."""
    plain = {team.name: team.bias_c for team in s.plan.teams}
    mean = rows[rows["there"]].groupby("team")["excess_c"].median()
    return pd.Series(plain) + mean.reindex(list(plain)).fillna(0.0)


def exceeds(kind: str, mine: pd.DataFrame, team: TeamPlan, s: Scenario) -> bool:
    """Tell whether a planted habit left traces beyond the limits of the rules of decision."""
    n = len(mine)
    if kind in ("scales_swapped", "same_scale_twice", "ten_off", "counted_wrong_way", "digits_transposed"):
        shows = (mine["slip"] == kind).to_numpy(dtype=float)
        return bool(n >= 10 and np.convolve(shows, np.ones(10)).max() >= 3)
    if kind == "minus_dropped":
        return int(((mine["slip"] == kind) & (mine["air_c"] <= -2.0)).sum()) >= 3
    if kind == "copied_last_session":
        jump = mine["air_c"].diff().abs() > 2.0
        return int(((mine["slip"] == kind) & jump).sum()) >= 3
    if kind == "small_marks":
        return int((mine["slip"] == kind).sum()) >= 6
    if kind == "converted_not_read":
        same = (mine["fahrenheit"] - (1.8 * mine["celsius"] + 32)).abs() <= 0.5
        return bool(np.convolve(same.to_numpy(dtype=float), np.ones(16)).max() >= 14)
    if kind == "rounded":
        return int((mine["manner"] == kind).sum()) >= 12
    if kind == "bulb_warmed":
        return int(((mine["column_kind"] == kind) & (mine["excess_c"] > 1.7)).sum()) >= 6
    acts = mine[mine["column_kind"] == kind]
    if len(acts) < 8:
        return False
    if kind == "eye_line":
        size = abs(acts["excess_c"].median() + team.bias_c)
        return bool(size > 0.5 + 2.0 * 0.6 / math.sqrt(len(acts)))
    if kind == "read_too_soon":
        gap = s.plan.sessions.indoor_c - acts["air_c"]
        if gap.std() < 0.5:
            return False
        slope = np.polyfit(gap, acts["excess_c"], 1)[0]
        return bool(
            slope > 3.0 * 0.6 / (gap.std() * math.sqrt(len(acts))) and acts["excess_c"].median() > 0.5
        )
    return False


HABITS = (
    "scales_swapped", "same_scale_twice", "ten_off", "counted_wrong_way", "digits_transposed",
    "minus_dropped", "copied_last_session", "small_marks", "converted_not_read", "rounded", "bulb_warmed",
    "eye_line", "read_too_soon",
)  # fmt: skip


def _teams(seed: int, s: Scenario, a: Assessment, rows: pd.DataFrame, score: Score) -> None:
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


def _tubes(seed: int, s: Scenario, a: Assessment, score: Score) -> None:
    plain = np.array([tube.offset_c for tube in s.plan.tubes])
    zero = float(centre_weights(plain) @ plain)
    table = a.thermometers.set_index("number")
    for tube in s.plan.tubes:
        if tube.number not in table.index:
            continue
        row, found = table.loc[tube.number], a.findings.thermometers[tube.number]
        kinds = {f.kind for f in found}
        true = tube.offset_c - zero
        if not tube.step_date and math.isfinite(row["offset"]):
            score.add(
                "limits of thermometer offset cover", bool(row["offset_low"] <= true <= row["offset_high"])
            )
        if tube.step_date is None and abs(true) > 1.0:
            hit = "thermometer_offset" in kinds and abs(row["offset"] - true) <= 0.3
            score.add("warm or cool thermometer found within 0.3", hit)
            if not hit:
                score.misses.append(
                    f"{seed} tube {tube.number} offset {true:.2f} est {row['offset']:.2f} {kinds}"
                )
        if tube.plate_f:
            score.add("slipped plate found", "scale_plate_slipped" in kinds)
        if tube.step_date:
            score.add("separated column found", "column_separated" in kinds)
        if not tube.step_date and not tube.plate_f and abs(true) <= 0.5:
            score.add("sound thermometers flagged", bool(kinds))
            if kinds:
                score.misses.append(f"{seed} sound tube {tube.number} {true:.2f} flagged {kinds}")


def _moves(seed: int, s: Scenario, a: Assessment, rows: pd.DataFrame, score: Score) -> None:
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


def _clock(seed: int, s: Scenario, a: Assessment, score: Score) -> None:
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


def _baselines(s: Scenario, a: Assessment, rows: pd.DataFrame, score: Score) -> None:
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


def score_helped(seed: int, score: Score) -> None:
    """Coach the honest team that looks worst after eight readings and see whether "helped" is said."""
    scenario = play(draw_class(seed, honest=True, troubles=False, interval_s=300))
    readings = scenario.frames.readings
    dates = sorted(set(readings["date"]))
    early = readings[readings["date"].isin(dates[:4])].reset_index(drop=True)
    first = cross_check(replace(scenario.frames, readings=early), parse(scenario.settings_text))
    if first.teams["bias"].isna().all():
        return
    worst = first.teams.loc[first.teams["bias"].abs().idxmax(), "team"]
    coaching = pd.DataFrame({"team": [worst], "date": [dates[4]], "topic": ["reading"]}).astype(
        {k: v for k, v in TABLES["coaching"].items() if v == "str"}
    )
    frames = replace(scenario.frames, tables={**scenario.frames.tables, "coaching": coaching})
    a = cross_check(frames, parse(scenario.settings_text))
    score.add(
        "helped said of an honest team that looked worst",
        any(c.verdict == "helped" for c in a.findings.changes),
    )


def calibration(claims: Iterable[tuple[int, float, bool]]) -> pd.DataFrame:
    """Return claimed and observed shares in bins of claimed probability, errors clustered by class."""
    table = pd.DataFrame([c[:3] for c in claims], columns=["seed", "p", "true"])
    table["bin"] = pd.cut(table["p"], [0, 0.05, 0.1, 0.2, 0.35, 0.5, 0.65, 0.8, 0.9, 0.97, 1.0])
    out = []
    for edges, mine in table.groupby("bin", observed=True):
        by = mine.groupby("seed").agg(n=("p", "size"), apart=("true", "sum"), p=("p", "sum"))
        apart = by["apart"] - by["p"]
        error = float(np.sqrt((apart**2).sum())) / len(mine)
        out.append((str(edges), len(mine), mine["p"].mean(), mine["true"].mean(), error))
    return pd.DataFrame(out, columns=["bin", "claims", "claimed", "observed", "error"])


def report(score: Score) -> str:
    """Return the table as text."""
    lines = [f"{'figure':64s} {'hits':>6s} {'cases':>7s} {'rate':>8s}  95 % interval"]
    for name in sorted(score.counts):
        hits, cases = score.counts[name]
        low, high = interval(hits, cases)
        lines.append(f"{name:64s} {hits:6d} {cases:7d} {hits / max(cases, 1):8.4f}  {low:.4f}-{high:.4f}")
    lines += ["", "causes by kind", calibration(score.claims).round(3).to_string(index=False)]
    lines += ["", "causes by group", calibration(score.group_claims).round(3).to_string(index=False)]
    return "\n".join(lines)


def run(base: int, classes: int, clocks: int, helped: int, say: bool = True) -> Score:
    """Score classes of one range of seeds: random ones, ones with a turned clock, honest ones coached."""
    score = Score()
    begin = time.perf_counter()
    for i in range(classes):
        score_class(base + i, score)
        if say and i % 10 == 9:
            print(f"\r{i + 1} of {classes}, {time.perf_counter() - begin:.0f} s", end="", file=sys.stderr)
    for i in range(clocks):
        scenario = play(draw_class(base + 50_000 + i, clock_minutes=60.0, interval_s=300))
        _clock(base + 50_000 + i, scenario, check(scenario), score)
    for i in range(helped):
        score_helped(base + 80_000 + i, score)
    return score


def main() -> None:
    """Run from the command line."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--tune", type=int, default=0, metavar="N")
    parser.add_argument("--classes", type=int, default=300)
    parser.add_argument("--clocks", type=int, default=170)
    parser.add_argument("--helped", type=int, default=100)
    parser.add_argument("--misses", action="store_true")
    options = parser.parse_args()
    n = options.tune or options.classes
    score = run(TUNING if options.tune else REPORTING, n, options.clocks, options.helped)
    print(f"\n{dt.date.today()}, {n} classes")
    print(report(score))
    if options.misses:
        print("\n".join(score.misses))


if __name__ == "__main__":
    main()
