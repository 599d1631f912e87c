import math

from station.comparison.verdict import verdict


def test_the_verdict_turns_at_its_levels():
    found = [verdict(p) for p in (1.0, 0.95, 0.949, 0.5, 0.051, 0.05, 0.0)]
    assert found == ["inside", "inside", "undecided", "undecided", "undecided", "outside", "outside"]


def test_no_probability_gives_no_verdict():
    assert verdict(math.nan) is None
