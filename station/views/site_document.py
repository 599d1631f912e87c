"""The survey of the place as one JSON document, for other tools: ``station site --json``.

Degrees Celsius, angles in degrees, times ISO 8601 with the site's offset, ``null`` where nothing can be said.
"""

from __future__ import annotations

import datetime as dt
import json
import math
from collections.abc import Iterable
from typing import Any

import pandas as pd

from station.place.places import Places
from station.place.survey import Survey
from station.views import wording_place as words
from station.views.site_words import paragraphs

SCHEMA_NUMBER = 1
DIGITS = 4


def document(places: Places, zone: dt.tzinfo, weeks: int) -> dict[str, Any]:
    """Return everything that ``station site --json`` prints."""
    survey = places.place
    return {
        "schema": SCHEMA_NUMBER,
        **_survey(survey, zone),
        "reasons": paragraphs(places, zone, weeks),
        "places": [
            {
                "name": row["name"] or words.THE_PLACE,
                "verdict": row["verdict"],
                "school_minutes": _number(row["school_minutes"]),
                "sessions_share": _number(row["sessions"]),
            }
            for row in _rows(places.ranking)
        ],
    }


def text(places: Places, zone: dt.tzinfo, weeks: int) -> str:
    """Return the document as one line of ASCII."""
    return json.dumps(document(places, zone, weeks), allow_nan=False)


def _moments(row: dict[str, Any], zone: dt.tzinfo) -> dict[str, Any]:
    """Return when the sun comes and goes, and the 80 % limits of both."""
    return {
        f"{key}{side}": _time(row[f"{name}{side}"], zone)
        for side in ("", "_low", "_high")
        for key, name in (("from", "start"), ("to", "end"))
    }


def _survey(survey: Survey, zone: dt.tzinfo) -> dict[str, Any]:
    spans: dict[dt.date, list[dict[str, Any]]] = {}
    for row in _rows(survey.spans):
        spans.setdefault(row["date"], []).append(
            {
                "from": _time(row["start"], zone),
                "to": _time(row["end"], zone),
                "probability": _number(row["probability"]),
                "excess": _number(row["excess_c"]),
            }
        )
    return {
        "verdict": survey.verdict.answer,
        "share": _number(survey.verdict.share),
        "doubt": _number(survey.verdict.doubt),
        "clear_days": _number(survey.verdict.clear_days),
        "days": [
            {
                "date": row["date"].isoformat(),
                "clear": _number(row["clear"]),
                "logged": _number(row["logged"]),
                "spans": spans.get(row["date"], []),
            }
            for row in _rows(survey.days)
        ],
        "openings": [
            {
                **{key: _number(row[key]) for key in
                   ("azimuth_from", "azimuth_to", "elevation_from", "elevation_to", "probability")},
                "excess": _number(row["excess_c"]),
            }
            for row in _rows(survey.openings)
        ],
        "sessions": [
            {"date": row["date"].isoformat(), "session": row["session"],
             "sunlit_probability": _number(row["sunlit_probability"])}
            for row in _rows(survey.sessions)
        ],
        "forecast": [
            {
                "date": row["date"].isoformat(),
                "session": row["session"],
                "sunlit_probability": _number(row["sunlit_probability"]),
                **_moments(row, zone),
            }
            for row in _rows(survey.forecast)
        ],
        "calendar": [
            {
                "date": row["date"].isoformat(),
                **_moments(row, zone),
            }
            for row in _rows(survey.ahead)
        ],
    }  # fmt: skip


def _rows(frame: pd.DataFrame) -> Iterable[dict[str, Any]]:
    columns = [str(name) for name in frame.columns]
    return (dict(zip(columns, row, strict=True)) for row in frame.itertuples(index=False, name=None))


def _number(value: Any) -> float | None:
    return None if value is None or not math.isfinite(value) else round(float(value), DIGITS) + 0.0


def _time(instant: Any, zone: dt.tzinfo) -> str | None:
    if instant is None or pd.isna(instant):
        return None
    moment: dt.datetime = instant.to_pydatetime() if isinstance(instant, pd.Timestamp) else instant
    return moment.astimezone(zone).replace(microsecond=0).isoformat()
