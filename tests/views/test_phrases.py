import datetime as dt
import math

import pytest

from station.views import phrases


@pytest.mark.parametrize(
    ("value", "digits", "signed", "expected"),
    [
        (-1.25, 1, False, "\u22121.2"),
        (1.26, 1, True, "+1.3"),
        (-0.04, 1, True, "0.0"),
        (0.0, 1, True, "0.0"),
        (12.0, 0, False, "12"),
        (math.nan, 1, False, "–"),
        (None, 1, False, "–"),
    ],
)
def test_numbers_as_people_write_them(value: float | None, digits: int, signed: bool, expected: str) -> None:
    assert phrases.number(value, digits, signed=signed) == expected


def test_a_number_and_its_unit_never_part() -> None:
    text = phrases.degrees(-3.2)
    assert text == "\u22123.2\u202f°C"
    assert len(text.split(" ")) == 1


def test_lists_and_sessions() -> None:
    assert phrases.listed([]) == ""
    assert phrases.listed(["a"]) == "a"
    assert phrases.listed(["a", "b", "c"]) == "a, b and c"
    assert phrases.listed(["a", "b", "c", "d"], 2) == "a, b and 2 more"
    day, other = dt.date(2026, 10, 20), dt.date(2026, 10, 21)
    sessions = [(day, "morning"), (day, "afternoon"), (other, "morning")]
    assert phrases.sessions_listed(sessions, 3) == "Tue 20 Oct morning and afternoon; Wed 21 Oct morning"
    assert phrases.sessions_listed(sessions, 1) == "Tue 20 Oct morning and afternoon; 1 more"


def test_days_carry_their_year() -> None:
    first = dt.date(2026, 10, 5)
    assert phrases.days(first, first) == "Mon 5 Oct 2026"
    assert phrases.days(first, dt.date(2026, 11, 13)) == "Mon 5 Oct to Fri 13 Nov 2026"
    assert phrases.days(first, dt.date(2027, 1, 4)) == "Mon 5 Oct 2026 to Mon 4 Jan 2027"


def test_a_kind_without_words_is_still_readable() -> None:
    assert phrases.kind("gap") == "no values came from the probe"
    assert phrases.kind("some_new_kind") == "some new kind"
