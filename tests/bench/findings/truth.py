"""What is true of a played class, in the words of the findings."""

from __future__ import annotations

import math

import numpy as np
import pandas as pd

from station.assess import Assessment
from station.comparison.effects import centre_weights
from station.scenario.plan import ClassPlan, Scenario, TeamPlan


def truth_rows(scenario: Scenario, a: Assessment) -> pd.DataFrame:
    """Return readings beside their truth, with what is true of their team and thermometer."""
    plan, rows = scenario.plan, scenario.truth.copy()
    rows[["team", "date", "session", "celsius", "fahrenheit", "line"]] = a.readings[
        ["team", "date", "session", "celsius", "fahrenheit", "line"]
    ]
    rows["there"] = rows["air_c"].notna()
    rows["moved"] = (rows["true_date"] != rows["date"]) | (rows["true_session"] != rows["session"])
    tubes = {tube.number: tube for tube in plan.tubes}
    plain = plain_offsets(plan)
    extra = {tube.number: value - tube.offset_c for tube, value in zip(plan.tubes, plain, strict=True)}
    offset = [
        tubes[n].offset_on(d) + extra[n] if n in tubes else math.nan
        for n, d in zip(rows["true_thermometer"], rows["true_date"], strict=True)
    ]
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


def plain_offsets(plan: ClassPlan) -> np.ndarray:
    """Return each thermometer's offset without a step [degC]; where only F is written a plate is one."""
    only_f = plan.written == "fahrenheit"
    return np.array([tube.offset_c + (tube.plate_f / 1.8 if only_f else 0.0) for tube in plan.tubes])


def true_kinds(row: pd.Series) -> set[tuple[str, str]]:
    """Return (kind, group) pairs that are true of a reading."""
    out = set()
    if row["slip"] in ("ten_off", "counted_wrong_way", "small_marks"):
        out.add((row["slip"], f"{_side(row)} side"))
    elif row["slip"]:
        out.add((row["slip"], "entry"))
    if row["manner"]:
        out.add((row["manner"], "sharing" if row["manner"] == "same_numbers" else "habit"))
    if row["column_kind"]:
        out.add((row["column_kind"], "column"))
    if row["slip"] == "counted_wrong_way" and row["celsius"] > 0.0 > row["column_c"]:
        out.add(("minus_dropped", "entry"))  # counted up from the zero of Celsius is the very same number
    if row["slip"] not in ("", "scale_missing") or (row["column_kind"] and abs(row["excess_c"]) > 1.0):
        return _moved(row, out)  # the thermometer is not what is amiss with this reading
    if abs(row["tube_offset"]) > 0.5:
        out.add(("thermometer_offset", "thermometer"))
    if row["tube_plate"]:
        out.add(("scale_plate_slipped", "thermometer"))
    if row["tube_step"]:
        out |= {("column_separated", "thermometer"), ("thermometer_offset", "thermometer")}
    return _moved(row, out)


def _moved(row: pd.Series, out: set[tuple[str, str]]) -> set[tuple[str, str]]:
    return out | {("wrong_half_day", "entry"), ("wrong_date", "entry")} if row["moved"] else out


def _side(row: pd.Series) -> str:
    """Return the scale that is farther from where the column stood: the slip fell on it."""
    c = abs(row["celsius"] - row["column_c"])
    f = abs((row["fahrenheit"] - row["tube_plate"] - 32.0) / 1.8 - row["column_c"])
    return "fahrenheit" if math.isnan(c) or f > c else "celsius"


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
