"""Mutated lines by the megabyte: nothing raises, and every good line around them is kept."""

from __future__ import annotations

import ast
import csv
import random
from pathlib import Path

import pytest

from station.line import own
from station.line.outcome import Measured
from station.line.protocol import Decoder

TABLE = Path(__file__).parent / "line_shapes.tsv"
SENSOR = "28" + "c" * 14


def mutate(chance: random.Random, line: bytes) -> bytes:
    """Return ``line`` with bytes flipped, dropped, doubled, swapped in from anywhere, or cut."""
    out = bytearray(line)
    for _ in range(chance.randint(1, 6)):
        at = chance.randrange(len(out) + 1)
        match chance.randrange(5):
            case 0:
                out[at:at] = chance.randbytes(chance.randint(1, 8))
            case 1:
                del out[at : at + chance.randint(1, 8)]
            case 2:
                out[at : at + 1] = bytes([chance.randrange(256)])
            case 3:
                out[at:at] = out[: chance.randint(0, 30)]
            case _:
                out[at:at] = chance.choice(
                    (b"[{", b'"', b"{" * 30, b"1e999", b"-" * 50, b".", b",", b"\x1b[")
                )
    return bytes(out)


def run(total: int, seed: int) -> tuple[int, int]:
    """Feed ``total`` bytes; return how many good lines were sent and how many came back."""
    chance = random.Random(seed)
    with TABLE.open(encoding="utf-8") as table:
        rows = csv.DictReader(table, delimiter="\t", quoting=csv.QUOTE_NONE)
        pool = [ast.literal_eval(row["bytes"]) for row in rows]
    pool += [own.write(20.0, 5.0, SENSOR), own.write_words("fault: crc", 1.0, SENSOR)]
    decoder = Decoder()
    done = sent = came = 0
    while done < total:
        junk = mutate(chance, chance.choice(pool)) + b"\n"
        value = 10.0 + sent % 1000 / 100.0
        good = own.write(value, float(sent), SENSOR)
        for data in (junk[: len(junk) // 2], junk[len(junk) // 2 :] + good):
            results = decoder.feed(data, sent)
        done += len(junk) + len(good)
        sent += 1
        last = results[-1]
        came += isinstance(last, Measured) and last.celsius == pytest.approx(value, abs=1e-4)
        if sent % 500 == 0:
            decoder.reopened()  # so that learning starts anew, with junk first
    return sent, came


def test_mutated_lines_short():
    sent, came = run(300_000, 1)
    assert came == sent


@pytest.mark.long
def test_mutated_lines_ten_million_bytes():
    sent, came = run(10_000_000, 2)
    print(f"good lines sent {sent}, kept {came}")
    assert came == sent
