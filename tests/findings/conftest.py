import pytest

from station.assess import cross_check
from station.scenario.larch_lane import larch_lane
from station.scenario.play import play
from station.settings import parse


@pytest.fixture(scope="session")
def larch_lane_played():
    return play(larch_lane())


@pytest.fixture(scope="session")
def larch_lane_checked(larch_lane_played):
    return cross_check(larch_lane_played.frames, parse(larch_lane_played.settings_text))
