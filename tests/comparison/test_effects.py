import numpy as np
import pytest
from crossed import invent

from station.comparison import effects


def fitted(case):
    return effects.fit(case.y, case.session, case.team, case.number, case.counts)


def relative(row, start, size):
    row = row.copy()
    row[start : start + size] -= 1.0 / size
    return row


def contrasts(case, crossed):
    """Return every team's and number's limits and truth, relative to the plain mean."""
    teams, numbers = case.team_c.size, case.offset_c.size
    eye = np.eye(teams + numbers)
    found = [crossed.contrast(relative(eye[t], 0, teams)) for t in range(teams)]
    found += [crossed.contrast(relative(eye[teams + k], teams, numbers)) for k in range(numbers)]
    true = np.concatenate((case.team_c - case.team_c.mean(), case.offset_c - case.offset_c.mean()))
    return found, true


def test_effects_come_back_within_their_limits():
    held, away = [], []
    for seed in range(12):
        case = invent(seed, slips=0.05)
        found, true = contrasts(case, fitted(case))
        held += [f.low <= t <= f.high for f, t in zip(found, true, strict=True)]
        away += [f.value - t for f, t in zip(found, true, strict=True)]
    assert np.mean(held) > 0.9  # 95 % limits, 360 of them
    assert np.std(away) < 0.14  # rest 0.42 over 20 readings is 0.094, the class's own zero adds to it


def test_every_gross_slip_is_set_aside_and_almost_nothing_else():
    for seed in range(6):
        case = invent(seed, slips=0.1)
        crossed = fitted(case)
        assert crossed.slip[case.slip].all()
        assert crossed.slip[~case.slip].mean() < 0.005


def test_one_thermometer_far_off_is_not_pulled_in():
    away = []
    for seed in range(12):
        case = invent(seed, far=True)
        found, true = contrasts(case, fitted(case))
        away.append(found[case.team_c.size].value - true[case.team_c.size])
    assert abs(np.mean(away)) < 0.1


def test_whatever_is_shared_by_a_session_reaches_no_team_and_no_thermometer():
    case = invent(4)
    one = fitted(case)
    rng = np.random.default_rng(9)
    moved = case.y + rng.normal(0, 5, case.counts[0])[case.session]
    two = effects.fit(moved, case.session, case.team, case.number, case.counts)
    assert two.units == pytest.approx(one.units, abs=1e-3)
    assert two.numbers == pytest.approx(one.numbers, abs=1e-3)


def test_few_readings_are_pulled_towards_the_class_and_say_so():
    case = invent(5, sessions=2)
    found, true = contrasts(case, fitted(case))
    assert np.std([f.value for f in found]) < np.std(true) + 0.1
    assert min(f.high - f.low for f in found) > 0.4


def test_a_team_that_scatters_more_has_wider_limits():
    case = invent(6)
    y = case.y + np.where(case.team == 3, np.random.default_rng(1).uniform(-2.5, 2.5, case.y.size), 0)
    crossed = effects.fit(y, case.session, case.team, case.number, case.counts)
    widths = np.sqrt(np.diag(crossed.covariance)[: case.team_c.size])
    assert widths[3] > 1.5 * np.median(widths)


def test_readings_without_number_still_tell_of_their_team():
    case = invent(7)
    number = np.where(case.session < 5, -1, case.number)
    crossed = effects.fit(case.y, case.session, case.team, number, case.counts)
    assert np.corrcoef(crossed.units, case.team_c)[0, 1] > 0.7


def test_a_team_that_writes_no_numbers_is_known_less_well():
    widths = []
    for number in (invent(7).number, np.where(invent(7).team == 3, -1, invent(7).number)):
        case = invent(7)
        crossed = effects.fit(case.y, case.session, case.team, number, case.counts)
        widths.append(np.sqrt(np.diag(crossed.covariance)[3]))
    # 20 readings with a rest of 0.42 and a box that spreads by 0.3
    assert 1.1 * widths[0] < widths[1] < 1.6 * widths[0]


def test_the_rest_is_not_the_smaller_for_a_fit_that_hugs_its_readings():
    # four sessions of 14: 32 free effects for 56 readings; their plain scatter about the fit is 0.26
    rests = [fitted(invent(seed, sessions=4)).rest_spread.mean() for seed in range(8)]
    assert np.mean(rests) == pytest.approx(0.42, abs=0.06)


def test_no_reading_within_two_marks_of_the_fit_is_a_slip():
    case = invent(11, rest=0.05)
    y = case.y.copy()
    y[[5, 50]] += [1.8, 3.0]
    crossed = effects.fit(y, case.session, case.team, case.number, case.counts)
    assert crossed.slip[[5, 50]].tolist() == [False, True]


def test_no_number_at_all_and_a_session_of_slips_do_not_break_it():
    case = invent(8, sessions=3)
    crossed = effects.fit(case.y, case.session, case.team, np.full(case.y.size, -1), (3, 14, 0))
    assert crossed.numbers.size == 0
    assert np.isfinite(crossed.units).all()
    wild = case.y + np.where(case.session == 0, np.resize([-30.0, 30.0], case.y.size), 0.0)
    assert np.isfinite(effects.fit(wild, case.session, case.team, case.number, case.counts).units).all()


def test_equal_values_have_equal_weights_in_their_centre():
    weights = effects.centre_weights(np.array([0.1, 0.1, 0.1, 5.0]))
    assert weights[:3] == pytest.approx(weights[0])
    assert weights[3] < weights[0] / 10
    assert weights.sum() == pytest.approx(1.0)
