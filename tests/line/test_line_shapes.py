"""The shapes that cheap sketches and loggers print, one case a line of ``line_shapes.tsv``.

Each case holds the bytes, the value in degC or the kind of refusal, and whether the shape was seen in public
sketches or is from memory. Two cases carry a real checksum in place of the sketch's ``hh``; the row whose own
clock was never set (2000-01-01) is read, because the host's arrival time serves instead.
"""

from __future__ import annotations

import ast
import csv
from pathlib import Path

import pytest

from station.line.outcome import Measured, Refused
from station.line.protocol import Decoder

_TABLE = Path(__file__).parent / "line_shapes.tsv"
CASES = [
    (row["family"], ast.literal_eval(row["bytes"]), row["expected"])
    for row in csv.DictReader(
        _TABLE.read_text(encoding="utf-8").splitlines(), delimiter="\t", quoting=csv.QUOTE_NONE
    )
]
HEADLESS = b"3.44\r\n"


def test_the_table_is_whole():
    assert len(CASES) == 99


@pytest.mark.parametrize(("family", "data", "expected"), CASES, ids=lambda value: str(value)[:40])
def test_shape(family, data, expected):
    results = Decoder(mid_line=data == HEADLESS).feed(data, 0)
    values = [r.celsius for r in results if isinstance(r, Measured)]
    kinds = {r.kind for r in results if isinstance(r, Refused)}
    if expected[-1].isdigit():
        # Fahrenheit only: 74.19 degF printed with two decimals is 23.44 degC within half a printed step
        assert values == pytest.approx([float(expected)], abs=0.003)
    else:
        assert values == []
        assert kinds == {expected}


def test_a_millisecond_column_is_uptime():
    (result,) = Decoder(mid_line=False).feed(b"123456,23.44\n", 0)
    assert result.uptime_s == 123.456


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        (b"ROM = 28 FF 64 1E 84 16 3 4C", "not a reading"),
        (b"  Data = 1 50 5 4B 46 7F FF C 10 1C  CRC=1C", "not a reading"),
        (b"CRC=1C", "not a reading"),
        (b"ROM = 28 FF 64 1E 84 16 3 4C  Temperature = 23.44 Celsius, 74.19 Fahrenheit", 23.44),
        (b"23.4\xb0", 23.4),
        (b"Temp: 23.4\xb0", 23.4),
        (b"Au\xdfen: 3,4 \xb0C", 3.4),
        (b"millis: 123456 temp: 23.4", 23.4),
        (b"Temp: 23,4 C; Hum: 45,1 %", 23.4),
        (b'{"sensor":"28ff641e8416034c","tempC":23.4,"millis":12345}', 23.4),
    ],
)
def test_more_shapes(line, expected):
    """From memory of common example sketches."""
    (result,) = Decoder(mid_line=False).feed(line + b"\n", 0)
    assert getattr(result, "kind", None) == expected or result.celsius == pytest.approx(expected)


def test_in_and_out_are_two_names():
    decoder = Decoder()
    decoder.feed(b"Out: -3.5 C In: 20.1 C\n", 0)
    assert [candidate.name for candidate in decoder.question.candidates] == ["out", "in"]


@pytest.mark.parametrize("sign", [b"\xc2\xb0", b"\xb0", b"\xdf", b"\xf8", b"\xc2\xba", b"*"])
def test_degree_sign_in_any_encoding(sign):
    (result,) = Decoder().feed(b"Temp: 74.19" + sign + b"F\n", 0)
    assert result.celsius == pytest.approx((74.19 - 32) / 1.8)
