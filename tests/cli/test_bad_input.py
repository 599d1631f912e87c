"""What a person may hand to a command by mistake: one line that says what it is, status 2, nothing harmed."""

from __future__ import annotations

import contextlib
import ctypes
import os
import random
import socket
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

from station import source
from station.cli import main
from station.store import open_book, schema

ROOT = Path(__file__).parents[2]
TOML = '[site]\ntimezone = "America/Chicago"\nlatitude = 44.3\nlongitude = -91.4\n'
READINGS = "date,session,team,thermometer,celsius,fahrenheit\n2026-10-05,morning,Alder,7,12,54\n"
PROBE = "time,celsius\n" + "".join(f"2026-10-05T14:{m:02d}:00Z,12.5\n" for m in range(60))
FILES = {"station.toml": TOML, "readings.csv": READINGS, "probe.csv": PROBE}
NOISE = random.Random(1).randbytes(5000)


@pytest.fixture(autouse=True)
def desk(tmp_path, monkeypatch):
    """Work in an empty folder that a teacher might have."""
    place = tmp_path / "Schule Größe 1"
    place.mkdir()
    monkeypatch.chdir(place)
    return place


@pytest.fixture
def said(monkeypatch, capsys):
    """Return a function that runs the program and gives its status, its output and its words."""

    def run(*words):
        monkeypatch.setattr("sys.argv", ["station", *map(str, words)])
        with pytest.raises(SystemExit) as ended:
            main()
        out, err = capsys.readouterr()
        return ended.value.code, out, err

    return run


def folder(desk, **changed):
    made = desk / "recording"
    made.mkdir()
    for name, content in {**FILES, **{k.replace("__", "."): v for k, v in changed.items()}}.items():
        if content is not None:
            (made / name).write_bytes(content if isinstance(content, bytes) else content.encode())
    return made


def book(desk, name="class.book"):
    made = folder(desk) if not (desk / "recording").exists() else desk / "recording"
    with open_book(desk / name, create=True) as opened:
        opened.import_frames(source.open(made).frames, TOML)
    return desk / name


def one_line(done, told):
    status, out, err = done
    assert (status, out) == (2, "")
    assert err.count("\n") == 1, err
    assert err.startswith("station: ")
    assert told in err, err


READERS = ("check", "site", "simulate --tcp --lines 1 --recording", "import new.book")


@pytest.mark.parametrize("verb", READERS)
@pytest.mark.parametrize(
    ("changed", "told"),
    [
        ({"station__toml": None}, "there is no station.toml in"),
        ({"station__toml": ""}, "[site] timezone is missing"),
        ({"station__toml": NOISE}, "station.toml line 1: not saved as UTF-8 text"),
        ({"station__toml": TOML.encode("utf-16")}, "station.toml line 1: not saved as UTF-8 text"),
        ({"station__toml": TOML + "[school\n"}, "station.toml line 5: "),
        ({"station__toml": TOML + "x = " + "[" * 3000}, "brackets stand within brackets too often"),
        ({"station__toml": TOML.replace("44.3", "4" * 5000)}, "a number has too many digits"),
        ({"probe__csv": NOISE}, 'probe.csv line 1: no column "time", and this is no text'),
        ({"probe__csv": PROBE.encode("utf-16")}, "probe.csv is saved as UTF-16"),
    ],
)
def test_a_folder_that_can_not_be_used(desk, said, verb, changed, told):
    one_line(said(*verb.split(), folder(desk, **changed)), told)
    assert not (desk / "new.book").exists()


@pytest.mark.parametrize("change", [lambda b: b"\xef\xbb\xbf" + b, lambda b: b.replace(b"\n", b"\r\n")])
def test_marks_and_line_ends_of_other_programs_are_no_trouble(desk, said, change):
    made = folder(desk, **{name.replace(".", "__"): change(text.encode()) for name, text in FILES.items()})
    status, out, err = said("check", made)
    assert (status, err) == (0, "")
    assert "What was not used as written" not in out


def test_a_line_of_five_million_letters_costs_that_line(desk, said):
    status, out, _ = said("check", folder(desk, readings__csv=READINGS + "x" * 5_000_000 + "\n"))
    assert status == 0
    assert "readings.csv line 3: the line is longer than 65536 bytes" in " ".join(out.split())


def garbled(path):
    content = bytearray(path.read_bytes())
    content[4096:] = random.Random(2).randbytes(len(content) - 4096)
    path.write_bytes(content)


def newer(path):
    with contextlib.closing(sqlite3.connect(path)) as sql:
        sql.execute(f"PRAGMA user_version = {schema.newest() + 1}")
        sql.commit()


def damaged_day(path):
    with contextlib.closing(sqlite3.connect(path)) as sql:
        sql.execute("UPDATE day SET body = x'0102'")
        sql.commit()


def another_program_s(path):
    path.unlink()
    with contextlib.closing(sqlite3.connect(path)) as sql:
        sql.execute("CREATE TABLE t (x)")
        sql.commit()


BOOKS = {
    "text": (lambda path: path.write_text("hello\n" * 400), "class.book is not a book of this program"),
    "noise": (lambda path: path.write_bytes(NOISE), "class.book is not a book of this program"),
    "another program's": (another_program_s, "class.book is not a book of this program"),
    "newer": (newer, "class.book was written by a later version of station"),
    "half": (lambda path: os.truncate(path, path.stat().st_size // 2), "class.book is damaged"),
    "garbled": (garbled, "class.book is damaged"),
}
NEEDERS = ("check {}", "site {}", "export {} out", "serve {} --port 0")
MAKERS = ("log {} --port /dev/none", "setup {} --port /dev/none", "start {} --port /dev/none --no-browser")


@pytest.mark.parametrize("verb", [*NEEDERS, *MAKERS, "import {} recording"])
@pytest.mark.parametrize("kind", BOOKS)
def test_a_file_that_is_no_sound_book(desk, said, verb, kind):
    change, told = BOOKS[kind]
    path = book(desk)
    change(path)
    before = path.read_bytes()
    one_line(said(*(word.format(path) for word in verb.split())), told)
    assert path.read_bytes() == before


@pytest.mark.parametrize("verb", NEEDERS)
def test_a_book_that_is_not_there(desk, said, verb):
    one_line(said(*(word.format("none.book") for word in verb.split())), "none.book")
    assert list(desk.iterdir()) == []


@pytest.mark.parametrize("verb", [*NEEDERS[2:], *MAKERS, "import {} recording"])
def test_a_folder_or_nothing_in_place_of_a_book(desk, said, verb):
    folder(desk)
    (desk / "shelf").mkdir()
    for name in ("shelf", ""):
        one_line(said(*(word.format(name) for word in verb.split())), "is a folder, and a book is one file")


@pytest.mark.skipif(os.name != "posix", reason="links and pipes")
@pytest.mark.parametrize("verb", [*NEEDERS[2:], *MAKERS])
def test_a_pipe_or_a_link_to_itself_in_place_of_a_book(desk, said, verb):
    (desk / "loop").symlink_to(desk / "loop")
    os.mkfifo(desk / "pipe")
    one_line(said(*(word.format("loop") for word in verb.split())), "loop cannot be read (")
    one_line(said(*(word.format("pipe") for word in verb.split())), "pipe is not a file")


def test_a_damaged_day_names_its_book(desk, said):
    path = book(desk)
    damaged_day(path)
    one_line(said("check", path), "class.book: a sealed day is damaged; use the last backup")


def test_a_place_that_can_not_take_a_recording(desk, said):
    path = book(desk)
    (desk / "file").write_text("")
    for words in (("demo", "file"), ("export", path, "file")):
        one_line(said(*words), "file is a file; give a new folder")
    for words in (("demo", "recording"), ("export", path, "recording")):
        one_line(said(*words), "recording is not empty")
    one_line(said("check", "recording", "--out", "file"), "file can't be written to")
    one_line(said("site", "recording", "--out", "file"), "file can't be written to")


def plain_user():
    """Let what is closed be closed to the superuser too: without the capabilities 1 and 2 of Linux."""
    if os.geteuid() == 0:
        for capability in (1, 2):  # DAC_OVERRIDE and DAC_READ_SEARCH; 24 is PR_CAPBSET_DROP
            ctypes.CDLL(None).prctl(24, capability, 0, 0, 0)


@pytest.mark.skipif(os.name != "posix", reason="permissions of another kind")
def test_what_may_not_be_read_or_written(desk):
    def said(*words):
        done = subprocess.run(
            [sys.executable, *map(str, words)], capture_output=True, text=True, check=False,
            env={**os.environ, "PYTHONPATH": str(ROOT)}, preexec_fn=plain_user,
        )  # fmt: skip
        return done.returncode, done.stdout, done.stderr

    path = book(desk)
    closed, shut = desk / "recording" / "probe.csv", desk / "shut"
    closed.chmod(0)
    shut.mkdir(0o555)
    if said("-c", f"open({str(closed)!r})")[0] == 0:
        pytest.skip("nothing is closed to this user")
    station = ("-m", "station")
    one_line(said(*station, "check", "recording"), "probe.csv cannot be read (Permission denied)")
    one_line(said(*station, "demo", shut / "new"), "cannot be written (Permission denied)")
    one_line(said(*station, "log", shut / "new.book", "--seconds", "0"), "new.book cannot be written")
    path.chmod(0)
    one_line(said(*station, "check", path), "is not readable")


def test_ports_that_can_not_be_used(desk, said):
    path = book(desk)
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        told = f"port {port} cannot be used ("
        one_line(said("serve", path, "--port", port), told)
        one_line(said("start", path, "--pages", port, "--no-browser", "--port", "/dev/none"), told)
        one_line(said("simulate", "--tcp", "--tcp-port", port), told)
    one_line(said("serve", path, "--lan", "--port", port, "--lan-port", port), "needs another port")
    one_line(said("serve", path, "--port", "99999"), "99999 is not in the range")
    one_line(said("setup", path, "--port", "nonsense://x"), "nonsense://x cannot be opened (")


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("chekc x", "No such command 'chekc' (station --help tells more)"),
        ("check", "Missing argument 'FOLDER' (station check --help tells more)"),
        ("check a b", "unexpected extra argument"),
        ("site x --weeks 999", "999 is not in the range"),
        ("simulate --rate 0", "0.0 is not in the range"),
        ("ports --listen -1", "-1.0 is not in the range"),
        ("log new.book --seconds -1", "-1.0 is not in the range"),
        ("log new.book --settings none.toml", "there is no none.toml"),
        ("import new.book x --date 5.10.", "does not match the format"),
        ("serve", "give one BOOK, or --rehearse without a book"),
    ],
)
def test_a_command_mistyped_is_one_line_too(desk, said, words, told):
    one_line(said(*words.split()), told)
    assert list(desk.iterdir()) == []


def test_a_name_of_several_lines_is_told_in_one(said):
    one_line(said("check", "a\nb"), "there is no folder or book a b")


def test_help_and_version_are_no_trouble(said):
    assert said("--version")[0] == 0
    assert said("check", "--help")[0] == 0
