"""A scenario as a recording: the plain files of one folder."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pandas as pd

from station.record.columns import Frames
from station.scenario.plan import Scenario

_README = """# {title}

An invented class. Weather, probe, pupils and every slip come from a seeded generator (`station demo`); no
school, person or device is meant, and how often each slip happens is invented too.

{place}: {teams} teams and {tubes} numbered thermometers, {first} to {last}, {record}.
"""


def files(scenario: Scenario, title: str, record: str) -> Mapping[str, str]:
    """Return name and text of each file of the recording; lines end in a line feed."""
    plan, frames = scenario.plan, scenario.frames
    texts = {
        "README.md": _README.format(
            title=title,
            place=plan.site.name.capitalize(),
            teams=len(plan.teams),
            tubes=len(plan.tubes),
            first=plan.school.first,
            last=plan.school.last,
            record=record,
        ),
        "station.toml": scenario.settings_text,
        "probe.csv": _probe(frames),
        "readings.csv": _readings(frames),
    }
    for name, table in frames.tables.items():
        texts[f"{name}.csv"] = table.to_csv(index=False, lineterminator="\n")
    return texts


def write(folder: Path, texts: Mapping[str, str]) -> None:
    """Write the files into ``folder``, made if missing; bytes do not depend on the platform."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in texts.items():
        (folder / name).write_bytes(text.encode("utf-8"))


def _probe(frames: Frames) -> str:
    stamps = frames.probe["time"].dt.strftime("%Y-%m-%dT%H:%M:%SZ")
    values = frames.probe["celsius"].map("{:.4f}".format)
    return "time,celsius\n" + "".join((stamps + "," + values + "\n").to_list())


def _readings(frames: Frames) -> str:
    table = frames.readings[["date", "session", "team", "thermometer"]].copy()
    table["celsius"] = frames.readings["celsius_written"]
    table["fahrenheit"] = frames.readings["fahrenheit_written"]
    text: str = pd.DataFrame(table).to_csv(index=False, lineterminator="\n")
    return text
