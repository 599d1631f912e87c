"""log, start, ports, simulate and setup as a person types them."""

from __future__ import annotations

import contextlib
import os
import signal
import socket
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest
from click.testing import CliRunner

from station.cli import cli, live
from station.line import own
from station.store import open_book

ROOT = Path(__file__).parents[2]
STATION = [sys.executable, "-m", "station"]


class Simulated:
    def __init__(self, *options: str) -> None:
        command = [*STATION, "simulate", "--tcp", "--rate", "20", *options]
        self.process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True, cwd=ROOT)
        self.url = self.process.stdout.readline().strip()

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.process.terminate()
        self.process.wait()
        self.process.stdout.close()


@pytest.fixture
def recording(tmp_path):
    folder = tmp_path / "recording"
    folder.mkdir()
    (folder / "station.toml").write_text('[site]\ntimezone = "America/Chicago"\n')
    rows = "".join(f"2026-10-05T13:00:{i:02d}Z,{10 + i / 16}\n" for i in range(40))
    (folder / "probe.csv").write_text("time,celsius\n" + rows)
    return folder


def station(*arguments, **more):
    return subprocess.run([*STATION, *map(str, arguments)], cwd=ROOT, capture_output=True, text=True, **more)


@pytest.mark.parametrize("shape", ["own", "label", "fahrenheit", "counter"])
def test_simulate_and_log(recording, tmp_path, shape):
    with Simulated("--recording", str(recording), "--shape", shape) as probe:
        book = tmp_path / "class.book"
        done = station(
            "log", book, "--port", probe.url, "--seconds", "2", "--settings", recording / "station.toml"
        )
    assert (done.returncode, done.stdout) == (0, "")
    assert "recording from" in done.stderr
    with open_book(book) as opened:
        values = opened.frames().probe["celsius"]
        assert "Chicago" in opened.settings_text()
    assert len(values) >= 15
    assert all(min(abs(value - (10 + i / 16)) for i in range(40)) < 0.006 for value in values)


def test_troubles_end_as_rejected_lines(recording, tmp_path):
    with Simulated("--recording", str(recording), "--trouble", "torn", "--trouble", "disconnected",
                   "--trouble", "noise") as probe:  # fmt: skip
        station("log", tmp_path / "class.book", "--port", probe.url, "--seconds", "3")
    with open_book(tmp_path / "class.book") as book:
        samples, rejected = book.counts()
        reasons = set(book.frames().table("rejected")["reason"])
    assert samples > 20
    assert rejected > 0
    assert all(reasons)


def test_start_makes_a_book_and_stops_when_asked(recording, tmp_path):
    with Simulated("--recording", str(recording)) as probe:
        command = [*STATION, "start", str(tmp_path / "new" / "class.book"), "--port", probe.url]
        process = subprocess.Popen(command, cwd=ROOT, stderr=subprocess.PIPE, text=True)
        lines = [process.stderr.readline() for _ in range(3)]
        time.sleep(1.0)
        process.send_signal(signal.SIGTERM)
        rest = process.communicate(timeout=20)[1]
    assert process.returncode == 0
    assert "class.book: a new book" in lines[0]
    assert "recording from" in "".join(lines) + rest
    with open_book(tmp_path / "new" / "class.book") as book:
        book.check_integrity()
        assert book.counts()[0] > 5


def test_ports_listens_and_says_why(recording):
    with Simulated("--recording", str(recording)) as probe:
        done = station("ports", "--port", probe.url, "--listen", "3")
    assert "speaks like a probe" in done.stdout
    assert "cannot be opened" in station("ports", "--port", "/dev/none-such", "--listen", "1").stdout


@pytest.mark.skipif(os.name != "posix", reason="pseudo-terminals")
def test_simulate_on_a_pseudo_terminal_prints_its_name(recording):
    done = station("simulate", "--recording", recording, "--rate", "50", "--lines", "5")
    assert done.stdout.startswith("/dev/")


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["log", "notes.txt"], "not a book"),
        (["simulate", "--recording", "none"], "there is no folder"),
        (["setup", "class.book", "--port", "/dev/none-such"], "cannot be opened"),
        (["serve", "mistyped.book"], "no book mistyped.book; if that is its name and place, make it with:"),
        (["serve", "notes.txt"], "not a book"),
        (["start", "one.book", "--book", "other.book"], "give one book"),
    ],
)
def test_wrong_input_is_one_line(tmp_path, arguments, told):
    (tmp_path / "notes.txt").write_text("hello")
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    done = subprocess.run(
        [*STATION, *arguments], cwd=tmp_path, capture_output=True, text=True, env=environment
    )
    assert done.returncode == 2
    assert done.stderr.count("\n") == 1
    assert told in done.stderr
    assert not (tmp_path / "mistyped.book").exists()


def test_first_settings(tmp_path):
    zone = tmp_path / "zoneinfo" / "Europe" / "Zurich"
    zone.parent.mkdir(parents=True)
    zone.touch()
    (tmp_path / "localtime").symlink_to(zone)
    assert live.first_settings(tmp_path / "localtime") == ('[site]\ntimezone = "Europe/Zurich"\n', True)
    assert live.first_settings(tmp_path / "none") == ('[site]\ntimezone = "UTC"\n', False)


def speaking(lines):
    """Return the URL of a port on which ``lines`` come over and over for some seconds, and its thread."""
    server = socket.create_server(("127.0.0.1", 0))

    def speak() -> None:
        server.settimeout(20.0)
        with server, contextlib.suppress(OSError):
            listener, _ = server.accept()
            with listener:
                for i in range(80):
                    listener.sendall(lines[i % len(lines)])
                    time.sleep(0.05)

    thread = threading.Thread(target=speak, daemon=True)
    thread.start()
    return f"socket://127.0.0.1:{server.getsockname()[1]}", thread


class TestSetup:
    def run(self, book, url, answers, *options):
        return (
            CliRunner()
            .invoke(cli, ["setup", str(book), "--port", url, *options], input=answers, catch_exceptions=False)
            .output
        )

    def test_ice_gives_a_correction_with_its_uncertainty(self, recording, tmp_path):
        rows = "".join(f"2026-10-05T13:{i // 60:02d}:{i % 60:02d}Z,0.25\n" for i in range(60))
        (recording / "probe.csv").write_text("time,celsius\n" + rows)
        book = tmp_path / "class.book"
        with Simulated("--recording", str(recording)) as probe:
            output = self.run(book, probe.url, "y\ny\ny\n", "--step", "number", "--step", "ice",
                              "--step", "clock",
                              "--hurry", "60")  # fmt: skip
        assert "-0.25 °C is added" in output
        with open_book(book) as opened:
            assert "correction = -0.250" in opened.settings_text()
            assert "correction_uncertainty = 0.06" in opened.settings_text()
            checks = opened.frames().table("checks")
        assert checks["kind"].tolist() == ["probe number good", "probe ice good", "probe clock good"]
        assert checks["reading"].tolist()[1] == 0.25

    def test_several_numbers_are_asked_about_once(self, tmp_path):
        book = tmp_path / "class.book"
        url, _ = speaking([b"45.1,23.4\n"])
        output = self.run(book, url, "2\ncelsius\n", "--step", "number", "--hurry", "15")
        assert "The probe shows 23.40 °C" in output
        with open_book(book) as opened:
            assert opened.recall(live.ANSWERS)["shapes"]

    def test_several_sensors_are_told_apart_by_the_person(self, tmp_path):
        book = tmp_path / "class.book"
        inside, outside = "28" + "a" * 14, "28" + "b" * 14
        url, _ = speaking([own.write(21.0, 1.0, inside), own.write(8.5, 1.0, outside)])
        output = self.run(book, url, "2\n\n", "--step", "number", "--hurry", "15")
        assert "The probe shows 8.50 °C" in output
        with open_book(book) as opened:
            assert opened.recall(live.ANSWERS)["sensors"] == {outside: ""}


def test_set_up_and_ports_find_the_speed_themselves(monkeypatch):
    from station.line import port as module
    from station.line.protocol import Decoder

    opened = []

    class Wire:
        has_speed = True

        def __init__(self, url, speed):
            opened.append(speed)
            self.speed = speed

        def read(self):
            return b"T: 20.5 C\n" if self.speed == 57600 else b"\xf8\x00\x80\n"

        def close(self):
            pass

    monkeypatch.setattr(module, "Port", Wire)
    assert live.open_speaking("a", 5.0, Decoder()).speed == 57600
    assert opened == [115200, 9600, 57600]
