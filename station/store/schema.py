"""The tables of a book, its version number, and the steps from each version to the next.

Times are whole microseconds UTC since 1970, dates ISO 8601 text, temperatures degC. ``NULL`` is "none".
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Mapping

#: In the header of every book, so that a file can be told from another program's (``PRAGMA application_id``).
APPLICATION_ID = int.from_bytes(b"Stn1", "big")

_VERSION_1 = """
-- station.toml as written; the last row holds, the others are its history
CREATE TABLE settings (id INTEGER PRIMARY KEY, at INTEGER NOT NULL, by TEXT NOT NULL, reason TEXT NOT NULL,
                       text TEXT NOT NULL);
-- a probe by name ('' is the probe at the place), or the region's weather
CREATE TABLE series (id INTEGER PRIMARY KEY, kind TEXT NOT NULL CHECK (kind IN ('probe', 'weather')),
                     name TEXT NOT NULL, UNIQUE (kind, name));
-- stretches of the host's clock without a step: step is how far the clock jumped at the start (NULL: unknown,
-- another start of the computer), confirmed whether the system said that its clock is synchronised; boot and
-- base (wall clock minus steady clock) let the next run of the logger see a step in between
CREATE TABLE clock_span (id INTEGER PRIMARY KEY, start INTEGER NOT NULL, end INTEGER NOT NULL, step INTEGER,
                         confirmed INTEGER NOT NULL DEFAULT 0, boot TEXT NOT NULL, base INTEGER NOT NULL);
-- samples of days that are not sealed yet, stamped with the host's clock as it was
CREATE TABLE live (id INTEGER PRIMARY KEY, series INTEGER NOT NULL REFERENCES series, time INTEGER NOT NULL,
                   celsius REAL NOT NULL, u_time REAL NOT NULL, uptime REAL, span INTEGER);
CREATE INDEX live_time ON live (series, time);
-- samples of whole UTC days, packed (see samples.py)
CREATE TABLE day (series INTEGER NOT NULL REFERENCES series, date TEXT NOT NULL, samples INTEGER NOT NULL,
                  body BLOB NOT NULL, PRIMARY KEY (series, date)) WITHOUT ROWID;
-- role and time of entry stand with each reading; line is its place in the file it came from
CREATE TABLE reading (id INTEGER PRIMARY KEY, date TEXT NOT NULL, session TEXT NOT NULL, team TEXT NOT NULL,
                      thermometer TEXT NOT NULL, celsius REAL, fahrenheit REAL, celsius_written TEXT NOT NULL,
                      fahrenheit_written TEXT NOT NULL, time INTEGER, waited REAL, note TEXT NOT NULL,
                      by TEXT NOT NULL, at INTEGER NOT NULL);
CREATE TABLE coaching (id INTEGER PRIMARY KEY, team TEXT, date TEXT, topic TEXT);
CREATE TABLE pairs (id INTEGER PRIMARY KEY, team TEXT, date TEXT, change TEXT);
CREATE TABLE edits (id INTEGER PRIMARY KEY, at INTEGER, by TEXT, "table" TEXT, row TEXT, "column" TEXT,
                    old TEXT, new TEXT, reason TEXT);
CREATE TABLE decisions (id INTEGER PRIMARY KEY, date TEXT, session TEXT, class_value REAL, reason TEXT);
CREATE TABLE sessions (id INTEGER PRIMARY KEY, date TEXT, session TEXT, held TEXT, reason TEXT, shadow TEXT,
                       air TEXT);
CREATE TABLE shadow (id INTEGER PRIMARY KEY, time INTEGER, shadow TEXT);
CREATE TABLE opening (id INTEGER PRIMARY KEY, azimuth REAL, elevation REAL);
CREATE TABLE rejected (id INTEGER PRIMARY KEY, time INTEGER, line TEXT, reason TEXT);
CREATE TABLE checks (id INTEGER PRIMARY KEY, date TEXT, kind TEXT, thermometer TEXT, scale TEXT, reader TEXT,
                     reference REAL, reading REAL);
-- optional files that are there, even without a row
CREATE TABLE present (name TEXT PRIMARY KEY) WITHOUT ROWID;
-- files kept as they are: README.md, probe.log
CREATE TABLE document (name TEXT PRIMARY KEY, body BLOB NOT NULL);
-- what the program must remember: answers about a port, a clean-up that is due
CREATE TABLE memo (key TEXT PRIMARY KEY, value TEXT NOT NULL) WITHOUT ROWID;
"""


def _first(connection: sqlite3.Connection) -> None:
    statements = "\n".join(line for line in _VERSION_1.splitlines() if not line.startswith("--"))
    for statement in statements.split(";"):
        connection.execute(statement)


#: version -> what makes it from the version before; each runs inside one transaction.
STEPS: Mapping[int, Callable[[sqlite3.Connection], None]] = {1: _first}


def newest() -> int:
    """Return the version that this program writes."""
    return max(STEPS)


def migrate(connection: sqlite3.Connection, found: int) -> None:
    """Bring a book of version ``found`` (0: empty file) to the newest version; call inside a transaction."""
    for version in range(found + 1, newest() + 1):
        STEPS[version](connection)
    connection.execute(f"PRAGMA user_version = {newest()}")
    connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
