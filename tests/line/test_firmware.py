"""The probe's program under a real MicroPython interpreter, its pins faked, through a wire into a book."""

from __future__ import annotations

import contextlib
import os
import shutil
import subprocess
import sys
import threading
import time
from itertools import pairwise
from pathlib import Path

import pytest

from station.line import own, timebase
from station.line.logger import Logger, Surroundings
from station.line.outcome import Measured
from station.line.port import Port
from station.line.protocol import Decoder
from station.store import open_book

pytest.importorskip("micropython_unix", reason="the MicroPython interpreter of the test extra")
pty = pytest.importorskip("pty")
tty = pytest.importorskip("tty")

ROOT = Path(__file__).parents[2]
QUICK = "EVERY_MS = 200\nKEEP_EVERY_MS = 200\n"


class Board:
    """A folder with the program, faked pins, and what the sensor will answer."""

    def __init__(self, folder: Path, answers: str, settings: str = QUICK, share: float = 0.5) -> None:
        shutil.copytree(ROOT / "firmware_notes" / "probe", folder, dirs_exist_ok=True)
        shutil.copytree(ROOT / "tests" / "line" / "board", folder, dirs_exist_ok=True)
        for file, text in (("answers", answers), ("share", str(share))):
            (folder / file).write_text(text)
        with (folder / "settings.py").open("a") as file:
            file.write(settings)
        main = folder / "digital.py"
        main.write_text(main.read_text().replace("CONVERSION_MS = 750", "CONVERSION_MS = 20"))
        self.folder = folder

    def start(self, stdin, stdout) -> subprocess.Popen:
        run = "import sys, micropython_unix; sys.argv = ['micropython', 'main.py']; micropython_unix.main()"
        return subprocess.Popen([sys.executable, "-c", run], cwd=self.folder, stdin=stdin, stdout=stdout)

    def lines(self, count: int) -> list[str]:
        """Return the first lines it writes."""
        with self.start(subprocess.PIPE, subprocess.PIPE) as process:
            found = [process.stdout.readline().decode().rstrip() for _ in range(count)]
            process.kill()
        return found


def decoded(lines):
    decoder = Decoder(mid_line=False)
    return [result for line in lines for result in decoder.feed(line.encode() + b"\n", 0)]


def test_values_vs_the_datasheet_table(tmp_path):
    """Raw to degC of the 1-wire chip's datasheet: 07D0 125, 0191 25.0625, FF5E -10.125, FC90 -55."""
    results = decoded(Board(tmp_path, f"{0x07D0} {0x0191} {0xFF5E} {0xFC90}").lines(5))
    assert [r.celsius for r in results if isinstance(r, Measured)] == [125.0, 25.0625, -10.125, -55.0]


def test_bad_answers_are_faults_and_the_next_good_one_is_taken(tmp_path):
    results = decoded(Board(tmp_path, "1360 crc 320 none none 336 1344 1360").lines(9))
    told = [r.celsius if isinstance(r, Measured) else r.reason.rpartition("fault: ")[2] for r in results]
    assert told[1:] == ["power-on value", "crc", 20.0, "no sensor", "no sensor", 21.0, 84.0, 85.0]
    assert "start, line version 1" in results[0].reason


def test_uptime_rises_by_the_interval(tmp_path):
    results = decoded(Board(tmp_path, " ".join(["320"] * 6)).lines(6))
    uptimes = [r.uptime_s for r in results if isinstance(r, Measured)]
    assert all(0.15 < later - earlier < 1.0 for earlier, later in pairwise(uptimes))


def test_checksum_and_writer_agree_with_the_reader(tmp_path):
    sys_path = str(ROOT / "firmware_notes" / "probe")
    done = subprocess.run(
        [sys.executable, "-c", f"import sys; sys.path.insert(0, {sys_path!r}); import lines;"
         "print('%04X' % lines.crc16(b'123456789'));"
         "print(lines.line('urn:dev:ow:28ff641e8416034c', 'v', -625, 12345678))"],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    crc, line = done.stdout.split()
    assert crc == "29B1"  # catalogue check value of this CRC-16
    assert own.read(line.encode()) == own.OwnRecord("28ff641e8416034c", -0.0625, "", 12345.678, False)


@pytest.mark.parametrize(
    ("share", "told"), [(0.5, 25.0), (0.7707, 0.0), (0.001, "wires touch"), (0.99, "wire open")]
)
def test_thermistor(tmp_path, share, told):
    """By the beta equation with B = 3950 K: 10 kohm is 25 degC, 33.62 kohm (share 0.7707) is 0 degC."""
    board = Board(tmp_path, "", QUICK + 'SENSOR = "thermistor"\n', share)
    result = decoded(board.lines(2))[1]
    if isinstance(told, str):
        assert told in result.reason
    else:
        assert result.celsius == pytest.approx(told, abs=0.3)


def test_the_watchdog_bites_a_program_that_hangs(tmp_path):
    board = Board(tmp_path, "320 hang 320", QUICK + "WATCHDOG_MS = 500\n")
    with board.start(subprocess.PIPE, subprocess.PIPE) as process:
        output = process.communicate(timeout=30)[0]
    assert output.endswith(b"WATCHDOG\n")


class Wire:
    """A pseudo-terminal between the board and the computer."""

    def __init__(self) -> None:
        self.board, self.computer = pty.openpty()
        tty.setraw(self.computer)
        self.name = os.ttyname(self.computer)

    def close(self) -> None:
        for handle in (self.board, self.computer):
            with contextlib.suppress(OSError):
                os.close(handle)


def record(book, name, seconds, open_port=Port):
    done = threading.Event()
    around = Surroundings(
        find=lambda: [name], open=open_port, clock=timebase.now, pause=time.sleep,
        synchronised=lambda: False, tell=lambda text: None,
    )  # fmt: skip
    thread = threading.Thread(target=Logger(book, Decoder(), around).run, args=(done.is_set,))
    thread.start()
    time.sleep(seconds)
    done.set()
    thread.join()


def test_from_the_board_into_the_check(tmp_path):
    """Interpreter, pseudo-terminal, logger, book, then ``station check`` on the book."""
    answers = " ".join(["1360", "crc", *["320", "321"] * 100])
    board = Board(tmp_path / "board", answers)
    wire = Wire()
    path = tmp_path / "class.book"
    settings = '[site]\ntimezone = "UTC"\n'
    with (
        open_book(path, create=True, settings_text=settings) as book,
        board.start(wire.board, wire.board) as process,
    ):
        record(book, wire.name, 4.0)
        process.kill()
        frames = book.frames()
    wire.close()
    assert len(frames.probe) >= 8
    assert set(frames.probe["celsius"]) == {20.0, 20.0625}
    done = subprocess.run(
        [sys.executable, "-m", "station", "check", str(path), "--json"],
        capture_output=True,
        cwd=ROOT,
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, b"")
    import json

    assert json.loads(done.stdout)["probe"]["samples"] == len(frames.probe)


def test_values_measured_alone_are_sent_and_placed_once_somebody_listens(tmp_path):
    quick = QUICK + "KEEP = 50\n"
    board = Board(tmp_path / "board", " ".join(str(320 + i) for i in range(200)), quick)
    main = board.folder / "main.py"
    main.write_text(main.read_text().replace("LISTENED_MS = 150000", "LISTENED_MS = 2000"))
    wire = Wire()
    with (
        open_book(tmp_path / "class.book", create=True) as book,
        board.start(wire.board, wire.board) as process,
    ):
        begin = time.time()
        time.sleep(3.0)  # nobody listens; the computer's lead is not even open
        record(book, wire.name, 3.0)
        process.kill()
        probe = book.frames().probe
    wire.close()
    stamps = probe["time"].astype("int64") / 1e6 - begin
    alone = probe[stamps < 2.8]
    assert len(alone) >= 6
    steps = probe.groupby("celsius")["time"].min().diff().dt.total_seconds().dropna()
    assert (steps > 0.0).all()  # one value after the other, as they were measured
    assert steps.max() < 1.5
