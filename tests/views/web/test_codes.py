"""Four words: enough of them, new for each session, read however they are typed."""

from __future__ import annotations

import itertools

import pytest

from station.views.web.codes import PER_ADDRESS, WINDOW_S, WORDS, Codes, Guesses, plain

from .conftest import AFTERNOON, DAY

TEAMS = ("Alder", "Beech", "Cedar")


def test_words_are_plain_distinct_and_128():
    assert len(WORDS) == len(set(WORDS)) == 128
    assert all(word.isascii() and word.isalpha() and word.islower() for word in WORDS)


def test_codes_hold_for_one_session(book):
    codes = Codes(book)
    first = codes.of(AFTERNOON, TEAMS)
    assert codes.of(AFTERNOON, TEAMS) == first == Codes(book).of(AFTERNOON, TEAMS)
    assert len(set(first.values())) == 3
    other = codes.of(type(AFTERNOON)(DAY, "morning"), TEAMS)
    assert not set(first.values()) & set(other.values())


@pytest.mark.parametrize(
    "typed", ["acorn Apple lake moon", " acorn, apple,lake  MOON.", "acorn-apple-lake-moon"]
)
def test_words_are_read_as_they_are_typed(typed):
    assert plain(typed) == "acorn-apple-lake-moon"


def test_a_team_is_found_by_its_words_alone(book):
    codes = Codes(book)
    words = codes.of(AFTERNOON, TEAMS)
    assert codes.team(AFTERNOON, words["Beech"].replace("-", " "), TEAMS) == "Beech"
    assert codes.team(AFTERNOON, words["Beech"].rpartition("-")[0], TEAMS) is None
    assert codes.team(AFTERNOON, "", TEAMS) is None


def test_guesses_come_back_after_the_window():
    now = [0.0]
    guesses = Guesses(lambda: now[0])
    for _ in range(PER_ADDRESS):
        assert not guesses.must_wait("a")
        guesses.wrong("a")
    assert guesses.must_wait("a")
    assert not guesses.must_wait("b")
    now[0] = WINDOW_S + 1.0
    assert not guesses.must_wait("a")


def test_many_addresses_together_are_limited_too():
    guesses = Guesses(lambda: 0.0)
    for n in itertools.count():
        if guesses.must_wait(str(n)):
            break
        guesses.wrong(str(n))
    assert n == 60
