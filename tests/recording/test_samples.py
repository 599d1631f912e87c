"""A series of the probe in every form that people and programs save."""

from __future__ import annotations

import pytest

from station.base.exceptions import UnusableInput
from station.record.columns import SAMPLES, check

from .conftest import read_probe, utc


@pytest.mark.parametrize(
    "content",
    [
        b"\xef\xbb\xbftime,celsius\r\n2026-10-05T09:00:00Z,-3.5\r\n2026-10-05T09:01:00Z,12\r\n",
        b"time;celsius\n2026-10-05T09:00:00Z;-3,5\n2026-10-05T09:01:00Z;12\n",
        b"time\tcelsius\n2026-10-05 09:00:00Z\t-3.5\n2026-10-05 09:01:00Z\t12",
        b"celsius,time\n-3.5,2026-10-05T09:00:00Z\n12,2026-10-05T09:01:00Z\n",
        b'"time","celsius"\n"2026-10-05T09:00:00Z","-3,5"\n2026-10-05T09:01:00Z,"12"\n',
        b" Time , Celsius\n2026-10-05T09:00:00Z, -3.5 \n 2026-10-05T09:01:00Z,12.000\n",
        b"\n\ntime,celsius\n\n2026-10-05T09:00:00Z,-3.5\n,\n  \n2026-10-05T09:01:00Z,12,\n\n",
        b"time,celsius\r2026-10-05T09:00:00Z,-3.5\r2026-10-05T09:01:00Z,12\r",
        "time;celsius\n2026-10-05T09:00Z;−3,5 °C\n2026-10-05T09:01Z;12 °C\n".encode(),
        "time;celsius\n2026-10-05T09:00Z;-3,5 °C\n2026-10-05T09:01Z;12°\n".encode("latin-1"),
        "time;celsius\n2026-10-05T09:00Z;–3,5\n2026-10-05T09:01Z;12 degC\n".encode("cp1252"),
        b"time,fahrenheit\n2026-10-05T04:00:00-05:00,25.7\n2026-10-05T04:01:00-05:00,53.6 F\n",
        b"time,kelvin\n2026-10-05 04:00,269.65\n2026-10-05 04:01,285.15 K\n",
        b"time,celsius\n2026-10-05T09:00:00Z,-3.5\n2026-10-05 04:01,12\n",
    ],
)
def test_one_record_in_the_forms_that_programs_save(folder, content):
    probe, problems = read_probe(folder, content)
    assert utc(probe) == ["2026-10-05 09:00:00", "2026-10-05 09:01:00"]
    assert probe["celsius"].tolist() == pytest.approx([-3.5, 12.0], abs=1e-12)
    assert problems == []


@pytest.mark.parametrize(
    ("row", "says"),
    [
        (b"2026-10-05T09:00:00Z,nan", "'nan' is not a number"),
        (b"2026-10-05T09:00:00Z,inf", "'inf' is not a number"),
        (b"2026-10-05T09:00:00Z,1e400", "'1e400' is not a number"),
        (b"2026-10-05T09:00:00Z,ERR", "'ERR' is not a number"),
        (b"2026-10-05T09:00:00Z," + b"9" * 5000, "is not a number"),
        (b"2026-10-05T09:00:00Z,", "there is no value"),
        (b"2026-10-05T09:00:00Z", "there is no value"),
        (b"2026-10-05T09:00:00Z,54F", "'54F' stands in the column celsius"),
        (b"2026-10-05T09:00:00Z,12,5", "3 cells under 2 names; is a decimal comma"),
        (b"2026-10-05T09:00:00Z,1\x002", "holds zero bytes"),
        (b"\x00\x00\x00", "holds zero bytes"),
        (b"2026-10-05,12", "'2026-10-05' is not a time such as"),
        (b",12", "'' is not a time such as"),
        (b"2026-03-08 02:30,12", "2026-03-08 02:30:00 does not exist: clocks jumped over it"),
        (b"x" * 70_000, "the line is longer than"),
        (b'"2026-10-05T09:00:00Z,12', "is not a time"),
        (b"\xff\xfe\xfd", "is not a time"),
        (b"time,celsius", "'time' is not a time"),
    ],
)
def test_a_bad_row_costs_that_row_and_is_listed(folder, row, says):
    good = b"2026-10-05T0%d:00:00Z,12\n"
    probe, problems = read_probe(folder, b"time,celsius\n" + good % 1 + row + b"\n" + good % 2)
    assert utc(probe) == ["2026-10-05 01:00:00", "2026-10-05 02:00:00"]
    (problem,) = problems
    assert problem.startswith("probe.csv line 3: ")
    assert says in problem


def test_the_values_of_broken_sensors_are_kept_for_the_flags(folder):
    probe, problems = read_probe(
        folder, "time,celsius\n2026-10-05T01:00Z,85\n2026-10-05T02:00Z,-127\n2026-10-05T03:00Z,-0.0\n"
    )
    assert probe["celsius"].tolist() == [85.0, -127.0, 0.0]
    assert problems == []


def test_the_doubled_hour_is_told_apart_by_order_and_said_once(folder):
    clocks = ["00:30", "01:00", "01:30", "01:00", "01:30", "02:00"]
    probe, problems = read_probe(folder, "time,celsius\n" + "".join(f"2026-11-01 {c},5\n" for c in clocks))
    assert utc(probe) == [
        f"2026-11-01 {c}:00" for c in ("05:30", "06:00", "06:30", "07:00", "07:30", "08:00")
    ]
    assert problems == [
        "probe.csv line 3: local times of 2026-11-01 that occur twice were told apart by their order: "
        "2 rows before and 2 after clocks went back"
    ]


def test_repeats_and_steps_back_are_counted(folder):
    probe, problems = read_probe(
        folder,
        "time,celsius\n2026-10-05T02:00Z,2\n2026-10-05T01:00Z,1\n2026-10-05T02:00Z,2.0\n"
        "2026-10-05T01:00Z,9\n2026-10-05T03:00Z,3\n",
    )
    assert utc(probe) == [f"2026-10-05 0{hour}:00:00" for hour in (1, 2, 3)]
    assert probe["celsius"].tolist() == [1.0, 2.0, 3.0]
    assert problems == [
        "probe.csv line 3: time steps back here (2 times in all); rows were sorted",
        "probe.csv line 4: repeats an earlier row (1 such rows in all); dropped",
        "probe.csv line 5: 9 degC at a time that line 3 has with 1 degC, which was kept",
    ]


def test_a_file_broken_throughout_is_counted_to_the_last_row(folder):
    probe, problems = read_probe(folder, "time,celsius\n" + "ERR,ERR\n" * 5000)
    assert probe.empty
    assert len(problems) == 1001
    assert problems[-1] == "probe.csv line 1002: 4000 more rows from this line on were not used as written"


def test_a_column_that_nobody_reads_is_said_once(folder):
    probe, problems = read_probe(
        folder, "time,humidity,celsius,fahrenheit\n2026-10-05T09:00Z,80,12,54\n2026-10-05T09:01Z,80,12,54\n"
    )
    assert probe["celsius"].tolist() == [12.0, 12.0]
    assert problems == ["probe.csv line 1: not used: column 'humidity', 'fahrenheit'"]


@pytest.mark.parametrize("content", [b"", b"\n\n", b"time,celsius", b"\xef\xbb\xbftime,celsius\r\n"])
def test_an_empty_record_is_no_trouble(folder, content):
    probe, problems = read_probe(folder, content)
    assert probe.empty
    assert problems == []
    check(probe, SAMPLES, "probe")


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (
            b"2026-10-05T09:00Z,12\n",
            "probe.csv line 1: no column \"time\" in the header '2026-10-05T09:00Z,12'",
        ),
        (b"\ntime,temperature\n", "probe.csv line 2: no column \"celsius\" in the header 'time,temperature'"),
        (b"\0" * 5000, 'no column "time"'),
        ("time,celsius\n".encode("utf-16"), "saved as UTF-16; save it as CSV in UTF-8"),
    ],
)
def test_a_probe_file_without_its_header_is_one_sentence(folder, content, says):
    with pytest.raises(UnusableInput) as caught:
        read_probe(folder, content)
    assert says in str(caught.value)
    assert "\n" not in str(caught.value)
