"""Robust estimators, agreement, scores and numerical care against published data."""

import json
import math
from pathlib import Path

import numpy as np
import pytest

from station.base import robust
from station.base.uncertainty import fit_line, series_mean

HERE = Path(__file__).parent
COPPER = json.loads((HERE / "analyst_1989.json").read_text())["copper"]
PEAK_FLOW = json.loads((HERE / "bland_altman_1986.json").read_text())["bland_altman_1986"]
GEAR = json.loads((HERE / "gear.json").read_text())
NUMACC = json.loads((HERE / "nist" / "numacc.json").read_text())["numacc"]


def test_copper_vs_analyst_1989():
    """24 copper values with one of 28.95; three estimators that must not be mixed, six digits each."""
    x = COPPER["x"]
    assert np.mean(x) == pytest.approx(COPPER["mean"], abs=5e-5)
    assert np.median(x) == pytest.approx(COPPER["median"], abs=5e-5)
    assert robust.madn(x) == pytest.approx(COPPER["mad_n"], abs=5e-7)
    assert robust.huber_location(x).location == pytest.approx(COPPER["huber_fixed_mad"], abs=5e-7)
    proposal = robust.huber_proposal_2(x)
    assert (proposal.location, proposal.scale) == pytest.approx(tuple(COPPER["huber_prop2"]), abs=5e-7)


def test_copper_vs_iso_13528_algorithm_a():
    """Algorithm A with the factor 1.134 on the same data: six digits, and not those of proposal 2."""
    found = robust.algorithm_a(COPPER["x"])
    assert (found.location, found.scale) == pytest.approx(tuple(COPPER["algA_1.134"]), abs=5e-7)
    assert found.scale != pytest.approx(COPPER["huber_prop2"][1], abs=1e-4)


def test_half_sample_mode_vs_robertson_cryer_1974():
    assert robust.half_sample_mode(COPPER["x"]) == pytest.approx(COPPER["half_sample_mode"], abs=1e-12)
    assert robust.half_sample_mode([1, 2, 2.1, 2.2, 9]) == pytest.approx(2.1, abs=1e-12)


def test_peak_flow_vs_bland_altman_1986():
    """17 subjects, first readings of two meters. The paper prints limits of 2 s, not of 1.96 s."""
    d = np.subtract(PEAK_FLOW["wright1"], PEAK_FLOW["mini1"])
    printed = robust.limits_of_agreement(d, factor=2.0)
    assert (printed.bias, printed.sd) == pytest.approx((PEAK_FLOW["bias"], PEAK_FLOW["sd"]), abs=5e-5)
    assert (printed.low, printed.high) == pytest.approx(tuple(PEAK_FLOW["loa_2sd"]), abs=5e-6)
    assert printed.bias_ci == pytest.approx(tuple(PEAK_FLOW["ci95_bias"]), abs=5e-4)
    assert printed.low_ci == pytest.approx(tuple(PEAK_FLOW["ci95_lower"]), abs=5e-3)
    assert printed.high_ci == pytest.approx(tuple(PEAK_FLOW["ci95_upper"]), abs=5e-3)
    usual = robust.limits_of_agreement(d)
    assert (usual.low, usual.high) == pytest.approx(tuple(PEAK_FLOW["loa_1.96sd"]), abs=5e-6)


def test_gear_z_vs_nist_dataplot():
    """Assigned value 1, sigma = sd of all 100. The page cuts digits off after the third: within 0.001."""
    y = np.concatenate(GEAR["batches"])
    z = robust.z_score(y, 1.0, np.std(y, ddof=1))
    printed = [*GEAR["z_batch1"], *GEAR["z_batch2"], *GEAR["z_batch3"]]
    np.testing.assert_allclose(z[:30], printed, atol=0.001)


def test_gear_zeta_vs_nist_dataplot():
    """u of a value = sd of its batch, u of the assigned value = sd of all: within 0.001 (digits cut off)."""
    y = np.concatenate(GEAR["batches"])
    first = np.array(GEAR["batches"][0])
    zeta = robust.zeta_score(first, np.std(first, ddof=1), 1.0, np.std(y, ddof=1))
    np.testing.assert_allclose(zeta[:5], GEAR["zeta_batch1_first5"], atol=0.001)


def _nist(name):
    lines = (HERE / "nist" / f"{name}.dat").read_text().splitlines()
    return lines, np.array([[float(v) for v in line.split()] for line in lines[60:] if line.strip()])


def test_norris_vs_nist_strd():
    """Ozone monitor calibration, certified to 15 digits: the line agrees to 13 of them."""
    _, data = _nist("Norris")
    line = fit_line(data[:, 1], data[:, 0])
    assert line.intercept == pytest.approx(-0.262323073774029, rel=2e-13)
    assert line.slope == pytest.approx(1.00211681802045, rel=1e-12)
    assert line.u_intercept == pytest.approx(0.232818234301152, rel=2e-13)
    assert line.u_slope == pytest.approx(0.000429796848199937, rel=2e-13)
    assert line.residual_sd == pytest.approx(0.884796396144373, rel=2e-13)
    assert line.dof == 34


@pytest.mark.parametrize(("case", "digits"), [("2", 1e-13), ("3", 1e-9), ("4", 1e-8)])
def test_numacc_vs_nist_strd(case, digits):
    """1001 values around 10000000.2 (NumAcc4) with s = 0.1: a one-pass formula gives 0.0 there.

    The data themselves are rounded to doubles, which leaves 8 digits of s in NumAcc4.
    """
    spec = NUMACC[case]
    x = [spec["first"], *spec["pair"] * ((spec["n"] - 1) // 2)]
    found = series_mean(x)
    assert found.mean == pytest.approx(spec["mean"], rel=1e-14)
    assert found.sd == pytest.approx(spec["sd"], rel=digits)
    assert robust.limits_of_agreement(x).sd == pytest.approx(spec["sd"], rel=digits)


@pytest.mark.parametrize(
    ("name", "digits"), [("SiRstv", 1e-12), ("SmLs01", 1e-12), ("SmLs04", 1e-8), ("SmLs07", 5e-3)]
)
def test_one_way_f_vs_nist_strd(name, digits):
    """F of balanced groups from the package's means and standard deviations, against the certified F.

    SmLs07 has thirteen constant leading digits; its values, stored as doubles, keep two to three digits of F.
    """
    lines, data = _nist(name)
    certified = float(next(line for line in lines if line.startswith("Between")).split()[-1])
    groups = [series_mean(data[data[:, 0] == g, 1]) for g in np.unique(data[:, 0])]
    n = groups[0].n
    between = n * series_mean([g.mean for g in groups]).sd ** 2
    within = math.fsum(g.sd**2 for g in groups) / len(groups)
    assert between / within == pytest.approx(certified, rel=digits)
