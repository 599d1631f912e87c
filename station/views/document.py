"""The assessment as one JSON document, for other tools; its shape is in ``check.schema.json``.

Degrees Celsius (class values in the class's own scale, named beside them), times ISO 8601 with the site's
offset, ``null`` where nothing can be said.
"""

from __future__ import annotations

import datetime as dt
import json
import math
from collections.abc import Iterable
from importlib.resources import files
from typing import Any

import pandas as pd

from station.assess import Assessment
from station.findings.clock import Shift
from station.findings.kinds import Finding
from station.findings.look import Findings
from station.record.model import Fault, Session
from station.reference.value import Reference

SCHEMA_NUMBER = 1
#: Digits after the point: a millionth of a degree, far below any doubt, and equal on every machine.
DIGITS = 6


def document(assessment: Assessment) -> dict[str, Any]:
    """Return everything that ``station check --json`` prints."""
    zone = assessment.settings.site.zone
    return {
        "schema": SCHEMA_NUMBER,
        "readings": [_reading(row) for row in _rows(assessment.readings)],
        "teams": [
            _team(row, assessment.segments, assessment.findings)
            for row in _rows(assessment.teams.sort_values("team"))
        ],
        "thermometers": [_thermometer(row, assessment.findings) for row in _rows(assessment.thermometers)],
        "sessions": [
            _session(row, assessment.budgets.get(Session(row["date"], row["session"])))
            for row in _rows(assessment.sessions)
        ],
        "common": {
            "value": _number(assessment.common.value),
            "low": _number(assessment.common.low),
            "high": _number(assessment.common.high),
        },
        "probe": {
            "samples": len(assessment.samples),
            "unused": int((~pd.Series(assessment.probe.usable, dtype=bool)).sum()),
            "faults": [_fault(fault, zone) for fault in assessment.probe.faults],
            "away": [_fault(span, zone) for span in assessment.probe.away],
            "clock": [_shift(shift, zone) for shift in assessment.findings.clock],
        },
        "same_numbers": None
        if assessment.findings.sharing is None
        else {**_finding(assessment.findings.sharing), "rows": []},  # the class's, never a pair's
        "separable": bool(assessment.separable),
        "problems": [
            {"file": p.file, "line": p.line, "reason": p.reason} for p in assessment.frames.problems
        ],
    }


def text(assessment: Assessment) -> str:
    """Return the document as one line of ASCII, which every console and pipe can carry."""
    return json.dumps(document(assessment), allow_nan=False)


def schema() -> dict[str, Any]:
    """Return the JSON Schema (2020-12) of the document."""
    found: dict[str, Any] = json.loads(
        files("station.views").joinpath("check.schema.json").read_text("utf-8")
    )
    return found


def _reading(row: dict[str, Any]) -> dict[str, Any]:
    return {
        "date": row["date"].isoformat(),
        "session": row["session"],
        "team": row["team"],
        "thermometer": row["thermometer"] or None,
        "celsius": _number(row["celsius"]),
        "fahrenheit": _number(row["fahrenheit"]),
        "reference": _number(row["reference"]),
        "u_reference": _number(row["u_reference"]),
        "error": _number(row["error"]),
        "scale_used": _text(row["scale_used"]),
        "band": _number(row["band"]),
        "band_key": row["band_key"] or None,
        "p_inside": _number(row["p_inside"]),
        "verdict": _text(row["verdict"]),
        "two_scale_difference": _number(row["two_scale_difference"]),
        "two_scale_limit": _number(row["two_scale_limit"]),
        "error_without_offset": _number(row["error_without_offset"]),
        "line": int(row["line"]),
        "mistakes": [{**cause, "probability": _number(cause["probability"])} for cause in row["mistakes"]],
    }


def _team(row: dict[str, Any], segments: pd.DataFrame, findings: Findings) -> dict[str, Any]:
    mine = segments[segments["team"] == row["team"]]
    return {
        "team": row["team"],
        "readings": int(row["readings"]),
        **_limits(row, "bias"),
        "spread": _number(row["spread"]),
        "separable": bool(row["separable"]),
        "finding": row["finding"],
        "habits": [_finding(found) for found in findings.teams[row["team"]]],
        "after_coaching": [
            {
                "date": change.date.isoformat(),
                "after": change.why,
                "kind": change.kind,
                "verdict": change.verdict,
                "change": _number(change.change_c),
                "change_low": _number(change.low_c),
                "change_high": _number(change.high_c),
                "share_change": _number(change.share),
                "share_change_low": _number(change.share_low),
                "share_change_high": _number(change.share_high),
            }
            for change in findings.changes
            if change.team == row["team"]
        ],
        "segments": [
            {
                "from": piece["from"].isoformat(),
                "to": piece["to"].isoformat(),
                **_limits(piece, "bias"),
                "readings": int(piece["readings"]),
                "change": piece["change"] or None,
            }
            for piece in _rows(mine)
        ],
    }


def _thermometer(row: dict[str, Any], findings: Findings) -> dict[str, Any]:
    return {
        "number": row["number"],
        "readings": int(row["readings"]),
        **_limits(row, "offset"),
        "scale_difference": _number(row["scale_difference"]),
        "band": _number(row["band"]),
        "band_key": row["band_key"] or None,
        "separable": bool(row["separable"]),
        "finding": row["finding"],
        "kinds": [_finding(found) for found in findings.thermometers[row["number"]]],
    }


def _finding(found: Finding) -> dict[str, Any]:
    """Return one finding; ``readings`` counts those that show it, ``rows`` are their positions above."""
    return {
        "kind": found.kind,
        "group": found.group,
        "state": found.state,
        "probability": _number(found.probability),
        "readings": len(found.rows),
        "rows": list(found.rows),
        "size": _number(found.size_c),
        "looks_like": list(found.looks_like),
        "more_sessions": found.more_sessions,
    }


def _shift(shift: Shift, zone: dt.tzinfo) -> dict[str, Any]:
    """Return a suspected clock: whole local days, and what would be added to the stamps."""
    start = dt.datetime.combine(shift.first, dt.time(), tzinfo=zone)
    end = dt.datetime.combine(shift.last + dt.timedelta(days=1), dt.time(), tzinfo=zone)
    return {
        "from": start.isoformat(),
        "to": end.isoformat(),
        "shift_minutes": shift.shift_minutes,
        "probability": _number(shift.probability),
    }


def _session(row: dict[str, Any], reference: Reference | None) -> dict[str, Any]:
    return {
        "date": row["date"].isoformat(),
        "session": row["session"],
        "readings": int(row["readings"]),
        "reference": _number(row["reference"]),
        "u_reference": _number(row["u_reference"]),
        "class_value": _number(row["class_value"]),
        "class_scale": row["class_scale"],
        "class_value_fahrenheit": _number(row["class_value_fahrenheit"]),
        "class_rule": row["class_rule"],
        "median": _number(row["median"]),
        "mean": _number(row["mean"]),
        "budget": None if reference is None else _budget(reference),
        "notes": [{"kind": kind} for kind in row["notes"]],
    }


def _budget(reference: Reference) -> dict[str, Any]:
    budget = reference.budget
    return {
        "lines": [
            {
                "name": line.name,
                "u": _number(line.contribution),
                "dof": _number(line.dof),
                "share": _number(line.share),
            }
            for line in budget.lines()
        ],
        "dof": _number(budget.dof),
        "coverage_factor": _number(budget.coverage_factor()),
        "expanded": _number(reference.expanded_c),
    }


def _fault(fault: Fault, zone: dt.tzinfo) -> dict[str, Any]:
    return {"kind": fault.kind, "from": _time(fault.start, zone), "to": _time(fault.end, zone)}


def _limits(row: dict[str, Any], name: str) -> dict[str, float | None]:
    return {key: _number(row[key]) for key in (name, f"{name}_low", f"{name}_high")}


def _rows(frame: pd.DataFrame) -> Iterable[dict[str, Any]]:
    columns = [str(name) for name in frame.columns]
    return (dict(zip(columns, row, strict=True)) for row in frame.itertuples(index=False, name=None))


def _number(value: Any) -> float | None:
    """Return a finite number, None for NaN, infinity and nothing."""
    if value is None or not math.isfinite(value):
        return None
    return round(float(value), DIGITS) + 0.0


def _text(value: Any) -> str | None:
    return value if isinstance(value, str) else None


def _time(instant: dt.datetime, zone: dt.tzinfo) -> str:
    return instant.astimezone(zone).isoformat()
