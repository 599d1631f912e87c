import numpy as np
import pytest

from station.record.model import Thermometer
from station.scenario.plan import Plant
from station.scenario.pupils import Card, Moment, column_excess, in_manner, read_marks, slip, unsettled

BOX = Thermometer()
RNG = np.random.default_rng(7)


def moment(air_c: float = 5.0, waited: float = 2.0, sunshine: float = 1.0, carried: bool = True) -> Moment:
    return Moment(air_c, 20.5, waited, sunshine, 75.0, carried)


def test_column_settles_by_first_order_lag():
    assert unsettled(moment(waited=75 / 60)) == pytest.approx(15.5 * np.exp(-1.0))
    assert unsettled(moment(waited=2.0)) == pytest.approx(15.5 * np.exp(-1.6))
    assert unsettled(moment(carried=False)) == 0.0


def test_readings_fall_on_marks_and_agree_within_their_scatter():
    pairs = np.array([read_marks(RNG, 7.3, 0.0, 0.35, BOX, False) for _ in range(4000)])
    assert np.array_equal(pairs[:, 0], np.rint(pairs[:, 0]))
    assert np.array_equal(pairs[:, 1] / 2, np.rint(pairs[:, 1] / 2))
    difference = pairs[:, 0] - (pairs[:, 1] - 32) / 1.8
    assert difference.mean() == pytest.approx(0.0, abs=0.05)
    assert 0.5 < difference.std() < 0.75
    assert np.mean(np.abs(difference) < 1.6) > 0.97


def test_half_marks_are_finer():
    pairs = np.array([read_marks(RNG, 7.3, 0.0, 0.0, BOX, True) for _ in range(3)])
    assert pairs[0].tolist() == [7.5, 45.0]


def test_slipped_plate_moves_only_fahrenheit():
    assert read_marks(RNG, 10.0, -4.0, 0.0, BOX, False) == (10.0, 46.0)


@pytest.mark.parametrize(
    ("plant", "card", "after"),
    [
        (Plant("scales_swapped"), (5.0, 42.0), (42.0, 5.0)),
        (Plant("scale_missing", scale="fahrenheit"), (5.0, 42.0), (5.0, None)),
        (Plant("scale_missing", scale="celsius"), (5.0, 42.0), (None, 42.0)),
        (Plant("minus_dropped"), (-4.0, 24.0), (4.0, 24.0)),
        (Plant("minus_dropped"), (4.0, 40.0), (4.0, 40.0)),
        (Plant("small_marks", scale="fahrenheit"), (12.0, 54.0), (12.0, 47.0)),
        (Plant("digits_transposed"), (12.0, 54.0), (21.0, 54.0)),
        (Plant("digits_transposed"), (11.0, 52.0), (11.0, 52.0)),
        (Plant("digits_transposed", scale="fahrenheit"), (12.0, 54.0), (12.0, 45.0)),
    ],
)
def test_slips(plant, card, after):
    result = slip(RNG, plant, Card(*card, "3"), BOX, ("1", "2", "3"))
    assert (result.celsius, result.fahrenheit, result.thermometer) == (*after, "3")


def test_random_slips_keep_their_signature():
    for _ in range(50):
        off = slip(RNG, Plant("ten_off"), Card(7.0, 44.0, "3"), BOX, ("3",))
        assert off.celsius in (17.0, -3.0)
        wrong_way = slip(RNG, Plant("counted_wrong_way"), Card(7.0, 44.0, "3"), BOX, ("3",))
        assert wrong_way.celsius in (-7.0, 13.0)
        same = slip(RNG, Plant("same_scale_twice"), Card(7.0, 44.0, "3"), BOX, ("3",))
        assert same.celsius == same.fahrenheit
        assert same.celsius in (7.0, 44.0)
        number = slip(RNG, Plant("wrong_thermometer_number"), Card(7.0, 44.0, "3"), BOX, ("1", "3"))
        assert number.thermometer == "1"


def test_manners():
    assert in_manner("converted_not_read", Card(7.0, 46.0, "3")).fahrenheit == 45.0
    rounded = in_manner("rounded", Card(7.0, 46.0, "3"))
    assert (rounded.celsius, rounded.fahrenheit) == (5.0, 50.0)


def test_column_causes_have_their_sign():
    assert column_excess(RNG, Plant("bulb_warmed", size=0.2), moment(air_c=3.0)) > 2.0
    assert column_excess(RNG, Plant("eye_line", size=-0.8), moment()) == -0.8
    assert column_excess(RNG, Plant("in_the_sun", size=3.0), moment(sunshine=0.0)) == 0.0
    assert column_excess(RNG, Plant("wet_bulb", size=2.0), moment()) < 0.0
