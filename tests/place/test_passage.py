"""Where a window opens and closes on a day: the likelihood of every step as an edge."""

import numpy as np
import pytest

from station.place import chain
from station.place.passage import EVENT_MIN, passages, sky_weights, sun_against_chance, told_weights

LADDER = np.full(len(chain.LEVELS), 1 / len(chain.LEVELS))
WIDTH, OPENS, CLOSES = 90, 30, 60


def steps(excess_c: float, cloud: tuple[int, int] | None = None, seed: int = 5) -> chain.Chain:
    """The chain's densities of one day that is lit between two columns of two minutes."""
    rng = np.random.default_rng(seed)
    y = 15 + 0.01 * np.arange(WIDTH) + rng.normal(0, 0.05, WIDTH)
    lit = np.zeros(WIDTH)
    lit[OPENS:CLOSES] = excess_c * rng.normal(1, 0.05, CLOSES - OPENS)
    if cloud:
        lit[slice(*cloud)] = 0
    return chain.evidence((y + lit)[None], np.full((1, WIDTH), 0.07), 0.06, np.zeros((1, WIDTH), bool))


def found(densities: chain.Chain, out: float, edges: tuple[int, int] = (OPENS, CLOSES)):
    one, weights = np.array([0]), sky_weights(np.array([out]))
    return passages(densities, one, one, WIDTH, np.array([edges]), weights, LADDER, 2, chain.CHANGE_CALM)


def beside(door: tuple[int, int], event_min: float) -> tuple[np.ndarray, np.ndarray]:
    """Log likelihood of both edges of a lit day on which a door also warmed the probe by 3 degC."""
    one, weights = np.array([0]), sky_weights(np.array([0.5]))
    rng = np.random.default_rng(4)
    y = 15 + rng.normal(0, 0.05, WIDTH)
    y[OPENS:CLOSES] += 4.0 * rng.normal(1, 0.06, CLOSES - OPENS)
    y[slice(*door)] += 3.0 * rng.normal(1, 0.2, door[1] - door[0])
    densities = chain.evidence(y[None], np.full((1, WIDTH), 0.07), 0.06, np.zeros((1, WIDTH), bool))
    edges = np.array([(OPENS, CLOSES)])
    passage = passages(
        densities, one, one, WIDTH, edges, weights, LADDER, 2, chain.CHANGE_CALM, event_min=event_min
    )
    return passage.entering[0], passage.leaving[0]


def drawn(event_min: float) -> tuple[float, float]:
    """By how much the log likelihood of each edge is more at a door half an hour away than at the window."""
    entering, leaving = beside((14, 18), event_min)[0], beside((72, 76), event_min)[1]
    return entering[11:15].max() - entering[OPENS], leaving[76:80].max() - leaving[CLOSES]


@pytest.mark.parametrize("event_min", [EVENT_MIN, 10 * EVENT_MIN])
def test_a_door_beside_a_window_draws_its_edges_the_less_where_chance_events_are_known(event_min):
    assert min(drawn(0.0)) > 6
    assert max(drawn(event_min)) < 3


def test_with_events_the_rows_add_up_from_both_ends_and_a_plain_window_keeps_its_edges():
    entering, leaving = beside((0, 0), 10 * EVENT_MIN)
    assert abs(int(entering.argmax()) - OPENS) <= 1
    assert abs(int(leaving.argmax()) - CLOSES) <= 1
    assert entering[WIDTH] == pytest.approx(leaving[0])
    assert leaving[CLOSES] == pytest.approx(entering[OPENS])


@pytest.mark.parametrize("cloud", [None, (40, 46)])
def test_each_edge_is_likeliest_where_it_was_put_cloud_or_not(cloud):
    passage = found(steps(4.0, cloud), 0.7)
    assert abs(int(passage.entering[0].argmax()) - OPENS) <= 1
    assert abs(int(passage.leaving[0].argmax()) - CLOSES) <= 1


def test_an_edge_is_found_from_a_held_one_that_is_ten_minutes_off():
    passage = found(steps(4.0), 0.7, (OPENS + 5, CLOSES - 5))
    assert abs(int(passage.entering[0].argmax()) - OPENS) <= 1
    assert abs(int(passage.leaving[0].argmax()) - CLOSES) <= 1


def test_a_window_that_never_opens_is_as_likely_as_shade_from_both_ends():
    passage = found(steps(0.0), 0.5)
    assert passage.entering[0, WIDTH] == pytest.approx(passage.shut[0])


def test_a_dull_day_without_sun_says_little_and_a_clear_one_speaks_against_a_window():
    shaded = steps(0.0)
    told = [
        float(sun_against_chance(found(shaded, out), sky_weights(np.array([out])))[0]) for out in (0.06, 0.9)
    ]
    assert -0.5 < told[0] < 0.2
    assert told[1] < -1.5


def test_a_lit_window_speaks_for_the_sun_and_chances_of_skies_add_up():
    weights = sky_weights(np.array([0.1, 0.5, 0.9]))
    assert weights.sum(axis=1) == pytest.approx(1)
    assert weights[0, 0] > weights[2, 0]
    assert weights[2, 2] > weights[0, 2]
    assert float(sun_against_chance(found(steps(4.0), 0.7), sky_weights(np.array([0.7])))[0]) > 5


def test_a_clear_sky_opens_on_sun_and_seldom_on_a_cloud():
    passage = found(steps(0.0), 0.9, (OPENS, OPENS + 1))
    dull, mixed, clear = passage.whole[0] - passage.shut[0]
    # the shares of sun are 0.04, 0.45 and 0.93; a jump that is not there leaves the cloud
    assert [dull, mixed, clear] == pytest.approx(np.log([0.96, 0.55, 0.07]), abs=0.1)


def test_a_window_fits_best_with_the_edges_that_it_has():
    lit = steps(4.0)
    best = found(lit, 0.9).whole[0, 2]
    for edges in ((OPENS - 9, CLOSES), (OPENS + 9, CLOSES), (OPENS, CLOSES - 9), (OPENS, CLOSES + 9)):
        assert found(lit, 0.9, edges).whole[0, 2] < best - 5


def test_light_keeps_up_with_a_chance_that_changes_and_turns_over_where_it_is_level():
    p = np.array([0.9, 0.9, 0.05, 0.05, 0.6, 0.8])[:, None]
    enter, leave = chain.keeping_up(p, np.full(p.shape, 0.04))
    lit = p[0]
    for i in range(1, len(p)):
        lit = lit * (1 - leave[i]) + (1 - lit) * enter[i]
        assert lit == pytest.approx(p[i])
    assert leave[1] == pytest.approx(0.04)


def told(densities: chain.Chain, out: np.ndarray) -> float:
    """Log odds of sun when a probe in the open told when it was out."""
    one, edges = np.array([0]), np.array([[OPENS, CLOSES]])
    weights = told_weights(sky_weights(np.array([out.mean()])), np.array([True]))
    return float(
        sun_against_chance(
            passages(densities, one, one, WIDTH, edges, weights, LADDER, 2, chain.CHANGE, out[None]), weights
        )[0]
    )


def test_a_told_sky_speaks_for_warmth_that_goes_with_its_cloud_and_against_what_does_not():
    cloud = np.full(WIDTH, 0.9)
    cloud[40:46] = 0.05
    other = np.full(WIDTH, 0.9)
    other[50:56] = 0.05
    lit = steps(1.2, (40, 46))
    assert told(lit, cloud) > told(lit, other) + 1
    assert told(steps(0.0), np.full(WIDTH, 0.9)) < -1.5
    assert abs(told(steps(0.0), np.full(WIDTH, 0.05))) < 0.5
