"""The assessment as CSV tables that open in any spreadsheet.

UTF-8 with a byte order mark (spreadsheets then show degree signs and names right), comma, point, one header;
the unit stands in the column's name: ``_c`` degrees Celsius, ``_f`` degrees Fahrenheit.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pandas as pd

from station.assess import Assessment
from station.findings.kinds import Finding
from station.reference.flags import Flag, combine
from station.views import causes, found

#: A text cell that starts with one of these could be run as a formula by a spreadsheet; full-width forms too.
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
DIGITS = 4

READINGS = {
    "line": "line", "date": "date", "session": "session", "team": "team", "thermometer": "thermometer",
    "celsius_written": "celsius_written", "fahrenheit_written": "fahrenheit_written",
    "indication": "indication_c", "scale_used": "scale_used", "reference": "reference_c",
    "u_reference": "u_reference_c", "expanded": "reference_plus_minus_c", "error": "error_c",
    "offset": "thermometer_offset_c", "error_without_offset": "error_without_offset_c", "band": "band_c",
    "band_key": "band_key", "p_inside": "p_inside", "verdict": "verdict",
    "two_scale_difference": "two_scale_difference_c", "two_scale_limit": "two_scale_limit_c",
    "slip": "set_aside_in_fit", "likely": "likely_cause", "note": "note",
}  # fmt: skip
TEAMS = {
    "team": "team", "readings": "readings", "bias": "bias_c", "bias_low": "bias_low_c",
    "bias_high": "bias_high_c", "spread": "spread_c", "separable": "separable",
}  # fmt: skip
SEGMENTS = {
    "team": "team", "from": "from", "to": "to", "change": "change", "readings": "readings",
    "bias": "bias_c", "bias_low": "bias_low_c", "bias_high": "bias_high_c",
}  # fmt: skip
THERMOMETERS = {
    "number": "number", "readings": "readings", "offset": "offset_c", "offset_low": "offset_low_c",
    "offset_high": "offset_high_c", "separable": "separable", "scale_difference": "scale_difference_c",
    "band": "band_c", "band_key": "band_key",
}  # fmt: skip
SESSIONS = {
    "date": "date", "session": "session", "readings": "readings", "reference": "reference_c",
    "u_reference": "u_reference_c", "class_value": "class_value", "class_scale": "class_scale",
    "class_value_fahrenheit": "class_value_f", "class_rule": "class_rule", "median": "median", "mean": "mean",
    "notes": "notes",
}  # fmt: skip
FINDINGS = [
    "about", "subject", "kind", "group", "state", "probability", "cards", "size_c", "more_sessions", "seen",
    "lately", "looks_alike", "to_do", "to_say",
]  # fmt: skip
COACHING = {
    "team": "team", "date": "date", "why": "after", "kind": "kind", "verdict": "verdict",
    "change_c": "change_c", "low_c": "change_low_c", "high_c": "change_high_c", "share": "share_change",
    "share_low": "share_change_low", "share_high": "share_change_high", "shown_before": "shown_before",
    "cards_before": "cards_before", "shown_after": "shown_after", "cards_after": "cards_after",
}  # fmt: skip


def tables(assessment: Assessment) -> dict[str, pd.DataFrame]:
    """Return each table by its file name without suffix, cells as they are written.

    ``class_value``, ``median`` and ``mean`` of a session are in its ``class_scale`` (both: Celsius).
    """
    zone = assessment.settings.site.zone
    sessions = assessment.sessions.assign(notes=assessment.sessions["notes"].map("; ".join))
    faults = pd.DataFrame(
        [
            (f.kind, f.start.astimezone(zone).isoformat(), f.end.astimezone(zone).isoformat())
            for f in assessment.probe.faults
        ],
        columns=["kind", "from", "to"],
    )
    problems = pd.DataFrame(
        [(p.file, p.line, p.reason, p.text) for p in assessment.frames.problems],
        columns=["file", "line", "reason", "text"],
    )
    budgets = pd.DataFrame(
        [
            (session.date, session.part, line.name, line.contribution, line.dof, line.share)
            for session, reference in assessment.budgets.items()
            for line in reference.budget.lines()
        ],
        columns=["date", "session", "line", "u_c", "degrees_of_freedom", "share"],
    )
    likely = causes.causes(assessment)
    readings = assessment.readings.assign(likely=[likely.get(i, "") for i in assessment.readings.index])
    coaching = pd.DataFrame(list(assessment.findings.changes), columns=list(COACHING))
    named = {
        "table-readings": _named(readings, READINGS),
        "table-teams": _named(assessment.teams, TEAMS),
        "table-segments": _named(assessment.segments, SEGMENTS),
        "table-thermometers": _named(assessment.thermometers, THERMOMETERS),
        "table-sessions": _named(sessions, SESSIONS),
        "table-findings": _findings(assessment),
        "table-coaching": coaching.rename(columns=COACHING),
        "table-budgets": budgets,
        "table-probe-faults": faults,
        "table-probe-flags": _flags(assessment.probe.flags),
        "table-problems": problems,
    }
    return {name: _safe(table) for name, table in named.items()}


def _flags(flags: pd.DataFrame) -> pd.DataFrame:
    """Return how many samples each check of the record gave each flag, and all checks together."""
    columns = {"all": combine(flags), **{str(name): flags[name].to_numpy() for name in flags}}
    counts = {check: np.bincount(column, minlength=max(Flag) + 1) for check, column in columns.items()}
    rows = [(check, *(int(count[flag]) for flag in Flag)) for check, count in counts.items()]
    return pd.DataFrame(rows, columns=["check", *(flag.name.lower() for flag in Flag)])


def _findings(assessment: Assessment) -> pd.DataFrame:
    """Return every finding of a thermometer and a team, then of the class, with all of its words."""
    findings = assessment.findings
    rows: list[dict[str, object]] = []
    for number, mine in findings.thermometers.items():
        rows += [_finding(assessment, "thermometer", number, finding) for finding in mine]
    for team in sorted(findings.teams):
        rows += [_finding(assessment, "team", team, f) for f in found.named(assessment, team)]
    if findings.sharing is not None:
        rows.append(_finding(assessment, "class", "", findings.sharing))
    return pd.DataFrame(rows, columns=FINDINGS)


def _finding(assessment: Assessment, about: str, subject: str, finding: Finding) -> dict[str, object]:
    told = found.tell(assessment, finding)
    return {
        "about": about, "subject": subject, "kind": finding.kind, "group": finding.group,
        "state": finding.state, "probability": finding.probability, "cards": len(finding.rows),
        "size_c": finding.size_c, "more_sessions": finding.more_sessions, "seen": told.sentence,
        "lately": told.seen_in, "looks_alike": told.alike, "to_do": told.do, "to_say": told.say,
    }  # fmt: skip


def write(assessment: Assessment, directory: Path) -> list[Path]:
    """Write every table into ``directory``; return the files."""
    written = []
    for name, table in tables(assessment).items():
        path = directory / f"{name}.csv"
        table.to_csv(path, index=False, encoding="utf-8-sig", lineterminator="\r\n")
        written.append(path)
    return written


def harmless(cell: object) -> object:
    """Return a cell that no spreadsheet runs: text that looks like a formula gets an apostrophe in front."""
    if isinstance(cell, str) and cell.startswith(FORMULA_STARTS):
        return f"'{cell}"
    return cell


def _named(frame: pd.DataFrame, columns: dict[str, str]) -> pd.DataFrame:
    return frame[list(columns)].rename(columns=columns)


def _safe(frame: pd.DataFrame) -> pd.DataFrame:
    """Neutralise text cells and round numbers."""
    out = frame.copy()
    for name in out.columns:
        if pd.api.types.is_float_dtype(out[name]):
            out[name] = out[name].round(DIGITS)
        elif not pd.api.types.is_numeric_dtype(out[name]):
            out[name] = out[name].map(harmless)
    return out
