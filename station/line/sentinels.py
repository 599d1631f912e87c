"""Numbers that stand for a trouble and not for a temperature.

Codes marked "seen" were seen in public sketches or logs (``tests/line/line_shapes.tsv``). 85, 25.00 and
-0.06 may also be real, so they count as codes only where the value before was not near them.
"""

from __future__ import annotations

from collections.abc import Mapping

from station.line.outcome import Candidate, Refusal

#: The span of common digital 1-wire chips, -55 to 125 degC, with 5 degC below for corrections.
LOWEST_C, HIGHEST_C = -60.0, 125.0

#: A code this near to the value before it is a temperature, degC.
_NEAR_C = 3.0

#: Above this, outdoors, a number without a unit is more likely degrees Fahrenheit, degC.
_HOT_C = 60.0

_CODES_C: Mapping[float, str] = {
    -127.0: "disconnected: the sensor does not answer (-127)",  # seen
    -196.6: "disconnected: the sensor does not answer (-127 degC as -196.6 degF)",  # seen
    127.94: "failed conversion (127.94)",  # seen
    -254.0: "fault: sensor wire open (-254)",  # seen
    -253.0: "fault: sensor wires touch (-253)",  # seen
    -99.0: "the sketch's code for a failure (-99)",  # seen
    -99.9: "the sketch's code for a failure (-99.9)",
    -100.0: "the sketch's code for a failure (-100)",  # seen
    -200.0: "channel absent (-200)",  # seen
    -999.0: "missing value (-999)",
    -7999.0: "missing value (-7999)",  # seen
    -9999.0: "missing value (-9999)",  # seen
    5537.0: "fault: thermocouple open (5537)",  # seen
}


def judge(
    candidate: Candidate, celsius: float, before_c: float | None, family_is_bare: bool
) -> Refusal | None:
    """Return why ``celsius`` is no temperature, or None.

    Parameters
    ----------
    candidate
        The number as printed.
    celsius
        Its value [degC].
    before_c
        The last value accepted from this port [degC], or None.
    family_is_bare
        Whether the line had neither name nor unit, so that the scale of the number is open.
    """
    for code, reason in _CODES_C.items():
        if abs(celsius - code) < 0.005 or abs(candidate.value - code) < 0.005:
            return Refusal("fault", reason)
    near = before_c is not None and abs(celsius - before_c) <= _NEAR_C
    if abs(celsius - 85.0) < 0.005 and not near:
        return Refusal("fault", "power-on value (85.0), not a temperature")
    if candidate.text in ("25.0", "25.00") and not near:
        return Refusal("question", "25.0 may be what a chip says when waking; the next other value will tell")
    if abs(celsius + 0.0625) < 0.003 and not near:
        return Refusal("question", "-0.06 may be a shorted wire; the next other value will tell")
    if family_is_bare and candidate.unit == "" and "." not in candidate.text and celsius > HIGHEST_C:
        return Refusal("question", "hundredths or thousandths of a degree? say the unit once")
    if not LOWEST_C <= celsius <= HIGHEST_C:
        return Refusal("fault", f"out of range ({candidate.text})")
    if candidate.unit == "" and celsius > _HOT_C and not near:
        return Refusal("question", "degrees Fahrenheit? say the unit once")
    return None
