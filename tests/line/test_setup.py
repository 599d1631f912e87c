from __future__ import annotations

import pytest

from station import settings
from station.line.setup import Correction, in_ice, see_a_number, soak, warm_by_hand, with_correction


def at(values, every_s=10.0):
    return [(i * every_s, value) for i, value in enumerate(values)]


def test_a_number():
    assert see_a_number(at([21.5])).good
    assert see_a_number([]).good is False
    assert see_a_number(at([72.0])).good is None


class TestHand:
    def test_a_rise_of_two_degrees_is_the_tip(self):
        assert warm_by_hand(18.0, at([18.5, 20.2, 21.0])).good

    def test_less_is_another_probe_and_in_a_warm_room_nobody_can_tell(self):
        assert warm_by_hand(18.0, at([18.5, 19.0])).good is False
        assert warm_by_hand(31.0, at([31.5, 32.0])).good is None
        assert warm_by_hand(31.0, []).good is None


class TestIce:
    def test_the_correction_is_minus_the_reading(self):
        step, correction = in_ice(at([5.0, 2.0, *[0.3125] * 20]), 0.0625)
        assert step.good
        assert correction.correction_c == -0.3125
        # ice 0.1/sqrt(3) = 0.05774, step 0.0625/sqrt(12) = 0.01804, no scatter: 0.06049 (worked by hand)
        assert correction.u_c == pytest.approx(0.06049, abs=1e-5)

    @pytest.mark.parametrize(
        ("values", "good"),
        [
            ([32.4] * 20, False),
            ([6.0] * 20, False),
            ([0.3] * 3, None),
            ([3.0 - 0.1 * i for i in range(20)], None),
        ],
    )
    def test_fahrenheit_no_ice_too_short_and_not_steady_give_none(self, values, good):
        step, correction = in_ice(at(values), 0.0625)
        assert (step.good, correction) == (good, None)


def test_soak():
    assert soak(at([10.0, 10.0625] * 30)).good
    assert soak(at([10.0, 11.5] * 30)).good is False
    assert soak(at([10.0 + 0.02 * i for i in range(60)])).good is None
    assert soak(at([10.0] * 5)).good is None


@pytest.mark.parametrize(
    "text",
    [
        '[site]\ntimezone = "UTC"\n',
        '[site]\ntimezone = "UTC"\n[probe]  # lead\nname = "x"\ncorrection = 1\n[box]\nlowest = -20\n',
    ],
)
def test_the_correction_is_written_into_the_settings(text):
    new = with_correction(text, Correction(-0.3125, 0.0605))
    probe = settings.parse(new).probes[""]
    assert (probe.correction_c, probe.u_correction_c) == pytest.approx((-0.3125, 0.0605), abs=6e-4)
    assert settings.parse(new).box == settings.parse(text).box
    assert new.count("correction =") == 1
