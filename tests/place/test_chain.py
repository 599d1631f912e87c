"""The hidden chain where the record says nothing: what is left is what was held before."""

import numpy as np

from station.place.chain import CHANGE, LEVELS, evidence, smooth


def test_light_goes_at_the_minute_at_which_another_probe_saw_the_cloud_come():
    held = np.where(np.arange(60) < 30, 0.9, 0.05)[None, :]
    nothing = np.full(held.shape, np.nan)
    steps = evidence(nothing, np.full(held.shape, 0.1), 0.06, np.zeros(held.shape, bool))
    ladder, told = np.full(len(LEVELS), 1 / len(LEVELS)), np.ones(held.shape, bool)
    follows = smooth(steps, held, np.full(held.shape, 0.9), ladder, 2, CHANGE, told).probability
    idles = smooth(steps, held, np.full(held.shape, 0.9), ladder, 2, CHANGE).probability
    assert follows[0, 29] - follows[0, 30] > 0.5
    assert idles[0, 29] - idles[0, 30] < 0.1
