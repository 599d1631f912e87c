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


def main():
    answers = {name: {"lines": lines, **gtc(lines)} for name, lines in GTC_CASES.items()}
    stored = {"source": f"GTC {version('GTC')}, by oracles.py", "cases": answers}
    (HERE / "gtc.json").write_text(json.dumps(stored, indent=1) + "\n")


if __name__ == "__main__":
    main()
