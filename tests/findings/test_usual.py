import numpy as np
import pytest

from station.findings.usual import _own_way


def test_own_way_of_a_normal_team():
    centre, spread = _own_way(0.6 + 0.5 * np.random.default_rng(1).standard_normal(4000))
    assert centre == pytest.approx(0.6, abs=0.1)
    assert spread == pytest.approx(0.5, abs=0.05)


def test_own_way_is_not_moved_by_every_third_session():
    rng = np.random.default_rng(2)
    away = 0.4 * rng.standard_normal(60)
    away[::3] += rng.uniform(2.0, 6.0, 20)
    centre, spread = _own_way(away)
    assert abs(centre) < 0.4
    assert spread < 0.8
