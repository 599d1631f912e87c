from __future__ import annotations

import datetime as dt

import pandas as pd
import pytest

from station import source
from station.assess import cross_check
from station.assess.refused import refused_values
from station.line import own
from station.line.outcome import Refused
from station.line.protocol import Decoder
from station.record.columns import TABLES, empty
from station.record.model import RejectedLine, Sample
from station.store import open_book

START = dt.datetime(2026, 10, 5, 12, 0, tzinfo=dt.UTC)
SETTINGS = '[site]\ntimezone = "UTC"\n'


@pytest.mark.parametrize(
    ("line", "kind"),
    [
        (b"T: 85.00 C\n", "power_on_value"),
        (b"T: -127.00 C\n", "disconnected_value"),
        (own.write_words("fault: no sensor", 5.0), "disconnected_value"),
        (own.write_words("fault: power-on value", 5.0), "power_on_value"),
    ],
)
def test_a_morning_of_refused_lines_is_their_fault_and_no_gap(tmp_path, line, kind):
    """Through decoder, book and check, so that the words of one agree with those of the other."""
    (refused,) = Decoder().feed(line, 0)
    assert isinstance(refused, Refused)
    minutes = [START + dt.timedelta(minutes=i) for i in range(600)]
    samples = [Sample(t, 10.0 + i / 200) for i, t in enumerate(minutes) if not 200 <= i < 320]
    rejected = [RejectedLine(t, refused.line, refused.reason) for t in minutes[200:320]]
    with open_book(tmp_path / "class.book", create=True, settings_text=SETTINGS) as book:
        book.append_samples(samples, rejected)
    opened = source.open(tmp_path / "class.book")
    found = cross_check(opened.frames, opened.settings)
    faults = {fault.kind: fault for fault in found.probe.faults}
    assert kind in faults
    assert "gap" not in faults
    assert abs(faults[kind].start - minutes[200]) <= dt.timedelta(minutes=1)
    assert len(found.probe.usable) == len(found.probe.flags) == len(samples)


def test_other_reasons_stand_for_nothing():
    assert refused_values(empty(TABLES["rejected"])).empty
    rejected = pd.DataFrame({"time": [pd.Timestamp(START)], "line": ["x"], "reason": ["damaged near 'x'"]})
    assert refused_values(rejected).empty


def test_uncertain_stamps_enter_the_budget(tmp_path):
    """A record that rises by 2 degC an hour, stamped with u = 1800 s: the line "timing" grows by 1 degC."""
    cells = {"date": "2026-10-05", "session": "morning", "team": "Alder", "celsius": "13", "fahrenheit": "55"}
    u_c = {}
    for u_time_s in (0.0, 1800.0):
        path = tmp_path / f"{u_time_s}.book"
        samples = [
            Sample(START + dt.timedelta(minutes=i - 240), 8.0 + i / 30, u_time_s=u_time_s) for i in range(480)
        ]
        with open_book(path, create=True, settings_text=SETTINGS) as book:
            book.append_samples(samples)
            book.add_reading(cells, "pupils")
        opened = source.open(path)
        (reference,) = cross_check(opened.frames, opened.settings).budgets.values()
        u_c[u_time_s] = next(line.u for line in reference.budget.components if line.name == "timing")
    assert u_c[1800.0] ** 2 - u_c[0.0] ** 2 == pytest.approx(1.0**2, rel=0.02)
