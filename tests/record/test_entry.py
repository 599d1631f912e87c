import contextlib
import datetime as dt
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from station.base.exceptions import BadEntry
from station.record import entry


@pytest.mark.parametrize(
    ("cell", "value", "unit"),
    [
        ("12,5", 12.5, None),
        ("12.5", 12.5, None),
        (" 12 ", 12.0, None),
        ("−3", -3.0, None),
        ("–3", -3.0, None),
        ("- 3", -3.0, None),
        ("+4", 4.0, None),
        ("12.", 12.0, None),
        (",5", 0.5, None),
        ("12 °C", 12.0, "C"),
        ("12°c", 12.0, "C"),
        ("12℃", 12.0, "C"),
        ("12 \u00a0°C", 12.0, "C"),
        ("12ºC", 12.0, "C"),
        ("12*C", 12.0, "C"),
        ("12 øC", 12.0, "C"),
        ("12°", 12.0, None),
        ("12 deg C", 12.0, "C"),
        ("12 degC", 12.0, "C"),
        ("54F", 54.0, "F"),
        ("54 fahrenheit", 54.0, "F"),
        ("285.15 K", 285.15, "K"),
    ],
)
def test_a_number_is_read_however_it_is_written(cell, value, unit):
    assert entry.parse(cell) == entry.Entry(value, cell, "value", unit)


@pytest.mark.parametrize(
    ("cell", "kind"),
    [
        ("", "blank"),
        ("  ", "blank"),
        ("-", "absent"),
        ("–", "absent"),
        ("—", "absent"),
        ("Absent", "absent"),
        ("broken", "broken"),
        ("BROKEN ", "broken"),
        ("12.5.3", "unreadable"),
        ("1 2", "unreadable"),
        ("12²", "unreadable"),
        ("nan", "unreadable"),
        ("inf", "unreadable"),
        ("1e400", "unreadable"),
        ("1" * 400, "unreadable"),
        ("1_000", "unreadable"),
        ("١٢", "unreadable"),
        ("12 C F", "unreadable"),
        ("3-", "unreadable"),
        ("about 12", "unreadable"),
        ("0x10", "unreadable"),
    ],
)
def test_a_cell_without_a_number_is_kept_as_written(cell, kind):
    assert entry.parse(cell) == entry.Entry(None, cell, kind)


@given(st.text())
def test_any_text_gives_an_entry_that_keeps_it(cell):
    found = entry.parse(cell)
    assert found.written == cell
    assert (found.value is None) == (found.kind != "value")
    assert found.value is None or math.isfinite(found.value)


@given(st.text())
@pytest.mark.parametrize("read", [entry.number, entry.date, entry.clock, entry.thermometer_number])
def test_any_text_is_read_or_is_a_bad_entry(read, cell):
    with contextlib.suppress(BadEntry):
        read(cell)


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_a_number_survives_being_written(value):
    assert entry.number(repr(value)) == value
    assert entry.number(repr(value).replace(".", ",").replace("-", "−") + " °C") == value


@pytest.mark.parametrize(
    ("cell", "number"),
    [
        ("7", "7"), (" 7", "7"), ("07", "7"), ("7.0", "7"), ("7,00", "7"), ("#7", "7"), ("0", "0"),
        ("10", "10"),
        ("7.5", "7.5"), ("blue one", "blue one"), (" A  7 ", "A 7"), ("", ""),
    ],
)  # fmt: skip
def test_a_thermometer_number_becomes_its_plain_label(cell, number):
    assert entry.thermometer_number(cell) == number


@given(st.integers(min_value=0, max_value=10**6))
def test_a_whole_number_is_the_same_label_however_a_spreadsheet_writes_it(number):
    assert {entry.thermometer_number(form.format(number)) for form in ("{}", "{}.0", " {:08d}", "{} ")} == {
        str(number)
    }


@pytest.mark.parametrize(
    "cell",
    [
        "2026-10-05", " 2026-10-05 ", "2026-10-05T00:00:00", "2026-10-05 00:00", "2026/10/05", "20261005",
        "5.10.2026", "05.10.2026", "5 Oct 2026", "5 October 2026", "Mon, 5 Oct 2026",
        "Oct 5, 2026", "5-Oct-2026",
        "2026–10–05",
    ],
)  # fmt: skip
def test_dates_that_can_mean_one_day_are_read(cell):
    assert entry.date(cell) == dt.date(2026, 10, 5)


def test_slashes_are_read_only_where_the_order_is_certain():
    assert entry.date("13/10/2026") == entry.date("10/13/2026") == dt.date(2026, 10, 13)
    assert entry.date("4/4/2026") == dt.date(2026, 4, 4)
    with pytest.raises(BadEntry, match="'03/04/2026' could be two dates"):
        entry.date("03/04/2026")


@pytest.mark.parametrize(
    "cell",
    [
        "",
        "2026-02-30",
        "2026-13-01",
        "5.10.26",
        "5/10/26",
        "0000-01-01",
        "2026-10-05T09:00",
        "today",
        "202610",
    ],
)
def test_no_date_is_guessed(cell):
    with pytest.raises(BadEntry):
        entry.date(cell)


@given(st.dates(min_value=dt.date(1000, 1, 1)))
def test_a_date_survives_being_written(day):
    assert entry.date(day.isoformat()) == entry.date(f"{day.day}.{day.month}.{day:%Y}") == day


@pytest.mark.parametrize(
    ("cell", "time"),
    [
        ("09:05", dt.time(9, 5)), ("9:05", dt.time(9, 5)), ("9.05", dt.time(9, 5)),
        ("14:05:30", dt.time(14, 5, 30)),
        ("2:05 pm", dt.time(14, 5)), ("12:05 a.m.", dt.time(0, 5)), ("", None), ("-", None),
    ],
)  # fmt: skip
def test_clock_times(cell, time):
    assert entry.clock(cell) == time


@pytest.mark.parametrize("cell", ["24:00", "9", "9:5", "13:00 pm", "0905", "09:60"])
def test_no_clock_time_is_guessed(cell):
    with pytest.raises(BadEntry):
        entry.clock(cell)
