"""Asks the reference libraries and stores their answers with their versions, beside the tests that use them.

Run ``python tests/reference_values/oracles.py`` after a change of the cases; needs the extra ``test``.
"""

import json
from importlib.metadata import version
from pathlib import Path

HERE = Path(__file__).parent

#: u, degrees of freedom (None: infinite), sensitivity; chosen like the lines of a probe's budget
GTC_CASES = {
    "probe, resolution, scatter": [
        [0.2886751345948129, None, 1.0],
        [0.018042195912175804, None, 1.0],
        [0.04, 6.5, 1.0],
    ],
    "timing with a falling temperature": [[0.12, None, 1.0], [60.0, 3.0, -0.0025], [0.07, 11.0, 1.0]],
    "one line": [[0.3, 4.0, 1.0]],
    "very unequal": [[1e-6, 2.0, 1.0], [0.5, 200.0, 1.0], [0.25, 1.5, -2.0]],
}


def gtc(lines):
    """Return u, degrees of freedom and the 95 % coverage factor of a linear model, by GTC."""
    import GTC

    total = sum(c * GTC.ureal(0.0, u, *(() if dof is None else (dof,))) for u, dof, c in lines)
    dof = GTC.dof(total)
    return {"u": GTC.uncertainty(total), "dof": dof, "k95": GTC.reporting.k_factor(dof, 95)}


#: fourteen ten-minute values with a spike, a flat stretch, a hole and a value that no air has
QARTOD_SERIES = [12.0, 12.1, 12.2, 20.0, 12.3, *[12.4] * 7, None, 70.0]


def qartod(series):
    """Return the flags of ioos_qc for ten-minute values, by check."""
    import numpy as np
    from ioos_qc import qartod as q

    x = np.array([np.nan if v is None else v for v in series])
    t = np.datetime64("2026-10-05T09:00:00") + np.arange(x.size) * np.timedelta64(600, "s")
    flags = {
        "gross_range": q.gross_range_test(x, fail_span=(-40, 60), suspect_span=(-20, 45)),
        "spike_average": q.spike_test(x, suspect_threshold=1, fail_threshold=3, method="average"),
        "spike_differential": q.spike_test(x, suspect_threshold=1, fail_threshold=3, method="differential"),
        "stuck": q.flat_line_test(x, t, suspect_threshold=1800, fail_threshold=3600, tolerance=0.05),
        "rate": q.rate_of_change_test(x, t, threshold=0.5 / 600),
    }
    flags["combined"] = q.qartod_compare(
        [np.asarray(flags[n]) for n in ("gross_range", "spike_average", "stuck")]
    )
    return {name: np.asarray(values).astype(int).tolist() for name, values in flags.items()}


def main():
    answers = {name: {"lines": lines, **gtc(lines)} for name, lines in GTC_CASES.items()}
    stored = {"source": f"GTC {version('GTC')}, by oracles.py", "cases": answers}
    (HERE / "gtc.json").write_text(json.dumps(stored, indent=1) + "\n")
    answers = {"series": QARTOD_SERIES, "flags": qartod(QARTOD_SERIES)}
    stored = {"source": f"ioos_qc {version('ioos-qc')}, by oracles.py", **answers}
    (HERE / "ioos_qc.json").write_text(json.dumps(stored) + "\n")


if __name__ == "__main__":
    main()
