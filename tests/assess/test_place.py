"""The sun's spans as doubts of the reference."""

import math
from types import SimpleNamespace

import pandas as pd
import pytest

from station.assess.place import LIKELY, sun_doubts


@pytest.mark.parametrize("excess", [3.0, -1.4])
def test_a_span_of_sun_is_a_doubt_as_large_as_its_excess_whatever_its_sign(excess):
    at = pd.to_datetime(["2026-10-06T06:44Z", "2026-10-06T07:16Z"], utc=True)
    spans = pd.DataFrame(
        {"start": at[:1], "end": at[1:], "probability": [LIKELY + 0.01], "excess_c": [excess]}
    )
    (doubt,) = sun_doubts(SimpleNamespace(spans=spans))
    assert doubt.kind == "sun"
    assert doubt.u_c == pytest.approx(abs(excess) / math.sqrt(3.0))
    assert list(sun_doubts(SimpleNamespace(spans=spans.assign(probability=LIKELY - 0.01)))) == []
