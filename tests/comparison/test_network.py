import numpy as np

from station.comparison.network import largest, parts


def test_one_shared_thermometer_links_two_teams():
    units, numbers = parts(np.array([0, 0, 1]), np.array([0, 1, 1]), 2, 2)
    assert units[0] == units[1] == numbers[0] == numbers[1]


def test_a_team_with_a_thermometer_of_its_own_stands_apart():
    units, numbers = parts(np.array([0, 1, 2]), np.array([0, 0, 1]), 3, 3)
    assert units[0] == units[1] != units[2]
    assert numbers[2] == -1  # nobody used it
    assert largest(units) == units[0]


def test_readings_without_number_link_nothing():
    units, _ = parts(np.array([0, 1]), np.array([-1, -1]), 2, 1)
    assert units.tolist() == [-1, -1]
    assert largest(units) == -1


def test_teams_that_each_keep_one_thermometer_have_no_part_to_be_told_in():
    units, numbers = parts(np.array([0, 1, 2]), np.array([0, 1, 2]), 3, 3)
    assert sorted(units) == sorted(numbers) == [0, 1, 2]
    assert largest(units) == -1
    assert largest(units[:1]) == units[0]  # one team alone is the whole class
