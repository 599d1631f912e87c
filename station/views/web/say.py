"""Small pieces of sentences for the pages: ages, times, session names, on top of ``views.phrases``."""

from __future__ import annotations

import datetime as dt

from station.record.model import Session
from station.views import phrases
from station.views.web import wording


def age(seconds: float) -> str:
    """Return an age as people say it, "12 s", "4 min", "3 h", "2 days"."""
    if seconds < 90:
        return wording.AGE_S.format(n=max(0, round(seconds)))
    if seconds < 90 * 60:
        return wording.AGE_MIN.format(n=round(seconds / 60))
    if seconds < 36 * 3600:
        return wording.AGE_H.format(n=round(seconds / 3600))
    return wording.AGE_DAYS.format(n=round(seconds / 86400))


def clock(instant: dt.datetime, zone: dt.tzinfo) -> str:
    """Return an instant as a local clock time."""
    return f"{instant.astimezone(zone):%H:%M}"


def session(of: Session) -> str:
    """Return a session as "Thu 15 Oct morning"."""
    return phrases.session_name(of.date, of.part)


def key(of: Session) -> str:
    """Return a session as it stands in an address: date and part."""
    from urllib.parse import quote

    return f"{of.date.isoformat()}/{quote(of.part, safe='')}"
