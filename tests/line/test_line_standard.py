"""The written standard of the probe's line: its examples are read, and its check value is the code's."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from station.line import own

NOTES = Path(__file__).parents[2] / "firmware_notes"
STANDARD = (NOTES / "line.md").read_text(encoding="utf-8")


def test_every_example_is_read():
    lines = re.findall(r"^\[\{.*\}\]\*[0-9A-F]{4}$", STANDARD, re.MULTILINE)
    records = [own.read(line.encode()) for line in lines]
    assert [(r.celsius, r.words, r.uptime_s, r.kept) for r in records] == [
        (None, "start, line version 1", 0.012, False),
        (23.4375, "", 10.813, False),
        (-0.0625, "", 20.815, False),
        (None, "fault: crc", 30.816, False),
        (12.5, "", 600.25, True),
    ]


def test_version_and_check_value_are_those_of_the_code():
    assert STANDARD.startswith(f"# The probe's line, version {own.VERSION}")
    assert f"`{own.checksum(b'123456789')}`" in STANDARD


def test_a_label_that_must_be_understood_is_refused():
    body = b'[{"n":"x","u":"Cel","v":20,"t":1,"mean_":true}]'
    assert own.read(body + b"*" + own.checksum(body).encode()) == "own line of a later version"


@pytest.mark.parametrize("name", ["wiring-digital.svg", "wiring-thermistor.svg", "shield.svg"])
def test_drawings_are_whole_and_say_what_they_show(name):
    root = ET.parse(NOTES / name).getroot()
    assert root.find("{http://www.w3.org/2000/svg}title").text
    assert root.find("{http://www.w3.org/2000/svg}desc").text
    assert name in (NOTES / "README.md").read_text(encoding="utf-8")
