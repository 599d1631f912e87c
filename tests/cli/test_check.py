"""``station check`` as a person or another tool meets it: through the shell."""

import json
import os
import shutil
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path

import jsonschema
import pandas as pd
import pytest

from station.views import document

ROOT = Path(__file__).parents[2]
LARCH_LANE = ROOT / "recordings" / "larch-lane"

TOML = '[site]\ntimezone = "America/Chicago"\n[box]\naccuracy = 1.0\n'
HEAD = "date,session,team,thermometer,celsius,fahrenheit\n"


def station(
    *arguments: str | Path, env: Mapping[str, str] | None = None
) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(
        [sys.executable, "-m", "station", *map(str, arguments)],
        cwd=ROOT,
        capture_output=True,
        timeout=120,
        env={**os.environ, "PYTHONIOENCODING": "utf-8", **(env or {})},
    )


def recording(folder: Path, **files: str | bytes) -> Path:
    """Write a folder of files named with _ for the point; those not given are left out."""
    folder.mkdir(exist_ok=True)
    for name, content in {"station_toml": TOML, **files}.items():
        raw = content if isinstance(content, bytes) else content.encode()
        (folder / name.replace("_", ".")).write_bytes(raw)
    return folder


def probe_csv(minutes: int = 90) -> str:
    start = pd.Timestamp("2026-10-05T13:30:00Z")
    rows = [f"{(start + pd.Timedelta(minutes=m)).isoformat()},{9 + m / 60:.2f}" for m in range(minutes)]
    return "time,celsius\n" + "\n".join(rows) + "\n"


CARDS = HEAD + "".join(
    f"2026-10-05,morning,{team},{n},10,50\n" for n, team in enumerate(("Alder", "Beech", "Cedar"), start=1)
)


@pytest.fixture(scope="module")
def larch_lane(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the folder into which Larch Lane was checked, its page and document beside."""
    out = tmp_path_factory.mktemp("out")
    done = station("check", LARCH_LANE, "--out", out)
    assert done.returncode == 0, done.stderr.decode()
    assert done.stderr == b""
    (out / "page.txt").write_bytes(done.stdout)
    return out


def test_larch_lane_on_a_page(larch_lane: Path) -> None:
    page = (larch_lane / "page.txt").read_text("utf-8")
    assert page.index("What to do first") < page.index("Sessions") < page.index("Teams")
    first = page[page.index("What to do first") : page.index("The latest session")]
    assert "Tue 20 Oct" in first
    assert "Thu 15 Oct morning" in first
    order = [first.index(words) for words in ("clock turned?", "piles", "Thermometer 7", "Fir")]
    assert order == sorted(order)
    assert not any(team in first for team in ("Alder", "Aspen", "Larch", "Maple"))
    assert not any(line.startswith("\x1b") or "\x1b[" in line for line in page.splitlines())


def test_larch_lane_in_files(larch_lane: Path) -> None:
    for name in ("teams", "session", "probe", "thermometers", "two-scales"):
        for suffix in ("png", "svg"):
            assert (larch_lane / f"picture-{name}.{suffix}").stat().st_size > 5000
    readings = pd.read_csv(larch_lane / "table-readings.csv")
    assert len(readings) == len(pd.read_csv(LARCH_LANE / "readings.csv"))


def test_json_is_one_document_and_nothing_else() -> None:
    done = station("check", LARCH_LANE, "--json")
    assert done.returncode == 0
    assert done.stderr == b""
    assert done.stdout.count(b"\n") == 1
    found = json.loads(done.stdout)
    jsonschema.validate(found, document.schema())
    without = {(s["date"], s["session"]) for s in found["sessions"] if s["reference"] is None}
    for day, part in (("2026-10-15", "morning"), ("2026-10-20", "morning"), ("2026-10-27", "afternoon")):
        assert (day, part) in without
    seven = next(t for t in found["thermometers"] if t["number"] == "7")
    assert seven["offset"] == pytest.approx(1.6, abs=0.3)


@pytest.mark.parametrize("encoding", ["ascii", "cp1252"])
def test_an_old_console_gets_signs_it_has(encoding: str, tmp_path: Path) -> None:
    folder = recording(tmp_path / "r", readings_csv=CARDS, probe_csv=probe_csv())
    done = station("check", folder, env={"PYTHONIOENCODING": encoding})
    assert (done.returncode, done.stderr) == (0, b"")
    done.stdout.decode(encoding)


def test_a_reader_that_stops_early_is_no_trouble(tmp_path: Path) -> None:
    folder = recording(tmp_path / "r", readings_csv=CARDS, probe_csv=probe_csv())
    with subprocess.Popen(
        [sys.executable, "-m", "station", "check", str(folder)],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    ) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.close()
        assert process.stderr.read() == b""


@pytest.mark.parametrize("missing", ["probe.csv", "readings.csv"])
@pytest.mark.parametrize("empty", [False, True])
def test_a_file_may_be_missing_or_empty(missing: str, empty: bool, tmp_path: Path) -> None:
    folder = recording(tmp_path / "r", readings_csv=CARDS, probe_csv=probe_csv())
    (folder / missing).unlink()
    if empty:
        (folder / missing).touch()
    done = station("check", folder, "--json", "--out", tmp_path / "out")
    assert (done.returncode, done.stderr) == (0, b"")
    found = json.loads(done.stdout)
    jsonschema.validate(found, document.schema())
    if missing == "probe.csv":
        assert {row["verdict"] for row in found["readings"]} == {"no reference"}
        assert all(row["two_scale_difference"] is not None for row in found["readings"])
        assert all(row["mistakes"] == [] for row in found["readings"])  # three cards that agree
    else:
        assert found["readings"] == []
        assert found["probe"]["samples"] == 90


UNUSABLE = {
    "no folder": None,
    "no station.toml": {"readings_csv": CARDS, "station_toml": None},
    "no time zone": {"readings_csv": CARDS, "station_toml": "[site]\n"},
    "unknown time zone": {"readings_csv": CARDS, "station_toml": '[site]\ntimezone = "Mars/Base"\n'},
    "not TOML": {"readings_csv": CARDS, "station_toml": "[site\n"},
    "settings not UTF-8": {"readings_csv": CARDS, "station_toml": b'[site]\nname = "\xff\xfe"\n'},
    "unknown key": {"readings_csv": CARDS, "station_toml": TOML + "colour = 3\n"},
    "unknown band": {
        "readings_csv": CARDS,
        "station_toml": '[site]\ntimezone = "UTC"\n[box]\nband = "shiny"\n',
    },
    "neither probe nor readings": {},
    "readings without columns": {"readings_csv": "a,b,c\n1,2,3\n"},
    "probe without columns": {"probe_csv": "a,b\n1,2\n"},
    "readings binary": {"readings_csv": bytes(range(256)) * 8},
}


@pytest.mark.parametrize("case", UNUSABLE)
def test_unusable_input_is_one_line_and_status_2(case: str, tmp_path: Path) -> None:
    files = UNUSABLE[case]
    folder = tmp_path / "r"
    if files is not None:
        recording(folder, **{k: v for k, v in files.items() if v is not None})
        if files.get("station_toml", TOML) is None:
            (folder / "station.toml").unlink()
    done = station("check", folder, "--json")
    said = done.stderr.decode()
    assert done.returncode == 2, said
    assert done.stdout == b""
    assert said.startswith("station: ")
    assert said.count("\n") == 1


def test_a_broken_row_costs_that_row_and_is_listed_with_its_line(tmp_path: Path) -> None:
    cards = CARDS + "2026-13-05,morning,Alder,1,10,50\n" + "2026-10-05,morning,Elm,4,ten,50\n"
    folder = recording(tmp_path / "r", readings_csv=cards, probe_csv=probe_csv() + "never,3\n")
    done = station("check", folder, "--json")
    assert done.returncode == 0
    problems = {(p["file"], p["line"]) for p in json.loads(done.stdout)["problems"]}
    assert {("readings.csv", 5), ("readings.csv", 6), ("probe.csv", 92)} <= problems
    page = station("check", folder).stdout.decode()
    assert "readings.csv line 5" in page


def test_the_inputs_are_never_written_over(tmp_path: Path) -> None:
    folder = recording(tmp_path / "r", readings_csv=CARDS, probe_csv=probe_csv())
    before = {path.name: path.read_bytes() for path in folder.iterdir()}
    assert station("check", folder, "--out", folder).returncode == 0
    for name, content in before.items():
        assert (folder / name).read_bytes() == content


def test_a_place_that_can_not_be_written_is_one_line(tmp_path: Path) -> None:
    folder = recording(tmp_path / "r", readings_csv=CARDS)
    (tmp_path / "taken").write_text("a file")
    done = station("check", folder, "--out", tmp_path / "taken")
    assert done.returncode == 2
    assert done.stderr.decode().count("\n") == 1


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="this system has no device that is always full")
def test_a_full_disk_is_one_line(tmp_path: Path) -> None:
    folder = recording(tmp_path / "r", readings_csv=CARDS)
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "station", "check", str(folder)],
            cwd=ROOT,
            stdout=full,
            stderr=subprocess.PIPE,
            timeout=120,
        )
    assert done.returncode == 2
    assert done.stderr.decode().count("\n") == 1


def test_help_names_every_option() -> None:
    said = station("check", "--help").stdout.decode()
    assert "--json" in said
    assert "--out" in said


def test_the_class_value_needs_no_probe(tmp_path: Path) -> None:
    shutil.copytree(LARCH_LANE, tmp_path / "r")
    (tmp_path / "r" / "probe.csv").unlink()
    values = [
        [(s["date"], s["session"], s["class_value"]) for s in json.loads(done.stdout)["sessions"]]
        for done in (station("check", LARCH_LANE, "--json"), station("check", tmp_path / "r", "--json"))
    ]
    assert values[0] == values[1]
    assert any(value is not None for _, _, value in values[0])
