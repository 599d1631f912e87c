"""The crossed fit against statsmodels' mixed model (REML) on simulated data.

With statsmodels' own variances put in, our mixed-model equations give its effects within 1e-4 degC. The
whole fit averages over the spreads with a weak prior, gives each team its own rest and effects a longer tail,
so it pulls a far effect in less; its effects correlate with statsmodels' above 0.97 and differ by 0.06 degC
at most (root mean square).
"""

import os
import warnings
from dataclasses import dataclass

import numpy as np
import pytest
from crossed import invent

from station.comparison import effects

CASES = (11, 12, 13)


@dataclass(frozen=True)
class Oracle:
    teams: np.ndarray
    numbers: np.ndarray
    team_variance: float
    number_variance: float
    rest_variance: float


def by_statsmodels(case):
    if "CI" not in os.environ:
        pytest.importorskip("statsmodels", reason="the oracle has no build for this Python")
    import pandas as pd
    import statsmodels.formula.api as smf

    frame = pd.DataFrame(
        {"y": case.y, "s": case.session.astype(str), "t": case.team, "k": case.number, "one": 1}
    )
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        model = smf.mixedlm(
            "y ~ 0 + s", frame, groups="one", re_formula="0", vc_formula={"t": "0 + C(t)", "k": "0 + C(k)"}
        )
        found = model.fit(reml=True)
    random = found.random_effects[1]
    by_name = dict(zip(model.exog_vc.names, found.vcomp, strict=True))
    return Oracle(
        np.array([random[f"t[C(t)[{t}]]"] for t in range(case.team_c.size)]),
        np.array([random[f"k[C(k)[{k}]]"] for k in range(case.offset_c.size)]),
        float(by_name["t"]),
        float(by_name["k"]),
        float(found.scale),
    )


@pytest.mark.parametrize("seed", CASES)
def test_mixed_model_equations_vs_statsmodels(seed, monkeypatch):
    case = invent(seed)
    oracle = by_statsmodels(case)
    monkeypatch.setattr(effects, "SPREADS_C", np.array([1.0]))
    variances = np.repeat(
        [oracle.team_variance, oracle.number_variance], [oracle.teams.size, oracle.numbers.size]
    )
    weight = np.full(case.y.size, 1.0 / oracle.rest_variance)
    solved = effects._solve(case.y, weight, case.session, case.team, case.number, case.counts, variances)
    assert solved.effects == pytest.approx(np.concatenate((oracle.teams, oracle.numbers)), abs=1e-4)


@pytest.mark.parametrize("seed", CASES)
def test_whole_fit_vs_statsmodels(seed):
    case = invent(seed)
    oracle = by_statsmodels(case)
    ours = effects.fit(case.y, case.session, case.team, case.number, case.counts)
    for mine, theirs in ((ours.units, oracle.teams), (ours.numbers, oracle.numbers)):
        apart = (mine - mine.mean()) - (theirs - theirs.mean())
        assert np.sqrt(np.mean(apart**2)) < 0.06
        assert np.corrcoef(mine, theirs)[0, 1] > 0.97
