import contextlib
import datetime as dt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from station.base.exceptions import BadEntry
from station.base.stamps import parse_block, parse_stamp

EPOCH = dt.datetime(1970, 1, 1)
INSTANTS = st.datetimes(dt.datetime(1900, 1, 2), dt.datetime(2199, 12, 30))
NINE = (dt.datetime(2026, 10, 5, 9) - EPOCH) // dt.timedelta(microseconds=1)


def block(*stamps):
    return np.array([list(stamp.encode("latin-1")) for stamp in stamps], dtype=np.uint8)


@pytest.mark.parametrize(
    ("stamp", "late", "aware"),
    [
        ("2026-10-05T09:00:00Z", 0, True),
        ("2026-10-05T09:00Z", 0, True),
        ("2026-10-05t09:00:00z", 0, True),
        ("2026-10-05T04:00:00-05:00", 0, True),
        ("2026-10-05T04:00:00−05:00", 0, True),
        ("2026-10-05T14:30:00+0530", 0, True),
        ("2026-10-05 14:00:00 +05", 0, True),
        ("2026-10-05 09:00", 0, False),
        ("2026-10-05 09:00:01.5", 1_500_000, False),
        ("2026-10-05 09:00:01,25", 1_250_000, False),
        ("2026-10-05 09:00:00.123456789", 123_456, False),
    ],
)
def test_iso_8601_is_read(stamp, late, aware):
    assert parse_stamp(stamp) == (NINE + late, aware)


@pytest.mark.parametrize(
    "stamp",
    [
        "", "2026-10-05", "09:00", "2026-02-29T09:00Z", "2026-13-01T09:00Z", "2026-10-05T24:00Z",
        "2026-10-05T09:60Z", "2026-10-05T09:00:60Z", "05/10/2026 09:00", "2026-10-05T09:00:00+25:00",
        "1899-12-31T09:00Z", "9999-01-01T00:00Z", "0000-01-01T00:00Z", "2026-10-05T09:00:00Zulu",
        "٢٠٢٦-10-05T09:00Z",
    ],
)  # fmt: skip
def test_what_is_no_stamp_is_refused_in_words(stamp):
    with pytest.raises(BadEntry, match=r"is not a time|outside 1900 to 2199|an offset that no place uses"):
        parse_stamp(stamp)


@given(st.text())
def test_any_text_is_read_or_is_a_bad_entry(text):
    with contextlib.suppress(BadEntry):
        parse_stamp(text)


@given(INSTANTS)
def test_a_stamp_survives_being_written(instant):
    micros = (instant - EPOCH) // dt.timedelta(microseconds=1)
    assert parse_stamp(instant.isoformat()) == (micros, False)
    assert parse_stamp(instant.isoformat(" ").replace(".", ",") + "Z") == (micros, True)


@settings(deadline=None)
@given(
    st.lists(INSTANTS, min_size=1, max_size=20),
    st.sampled_from(["seconds", "minutes", "milliseconds", "microseconds"]),
    st.sampled_from(["", "Z", "+05:30", "-0330", " +02", "-19:00"]),
)
def test_many_at_once_read_as_one_by_one(instants, spec, zone):
    texts = [instant.isoformat(timespec=spec) + zone for instant in instants]
    found = parse_block(block(*texts))
    for row, text in enumerate(texts):
        try:
            expected = parse_stamp(text)
        except BadEntry:
            assert not found.ok[row]
        else:
            assert (int(found.micros[row]), bool(found.aware[row])) == expected
            assert found.ok[row]


@settings(deadline=None)
@given(st.lists(st.text("0123456789-:TZ ./", min_size=16, max_size=16), min_size=1, max_size=20))
def test_nothing_is_read_at_once_that_is_refused_alone(texts):
    found = parse_block(block(*texts))
    for row in np.flatnonzero(found.ok):
        assert parse_stamp(texts[row]) == (int(found.micros[row]), bool(found.aware[row]))


def test_offsets_of_both_halves_of_the_year_and_damage_in_one_block():
    found = parse_block(
        block(
            "2026-10-05T04:00:00-05:00",
            "2026-11-05T03:00:00-06:00",
            "2026-10-05T14:00:00+05:00",
            "2026-02-30T04:00:00-05:00",
            "2026-10-05Tx4:00:00-05:00",
        )
    )
    assert found.ok.tolist() == [True, True, True, False, False]
    assert found.micros[0] == found.micros[2] == NINE
