from __future__ import annotations

import pytest

from station.base.exceptions import PortLost
from station.line import own
from station.line.logger import SILENT_S, Logger, Surroundings
from station.line.protocol import Decoder
from station.line.timebase import READ_S, Instant


class Book:
    """A sink that keeps everything in lists."""

    def __init__(self):
        self.samples, self.rejected = [], []

    def append_samples(self, samples, rejected=(), **more):
        self.samples += samples
        self.rejected += rejected

    def new_span(self, start, step_s, boot, base_s):
        return 1

    def last_clock(self):
        return None

    def seal_days(self, before):
        return 0


class Room:
    """Virtual time and ports; ``says(url, speed, second)`` gives the bytes of each read."""

    def __init__(self, says, urls=("a",), has_speed=True):
        self.says, self.urls, self.has_speed = says, urls, has_speed
        self.t, self.states, self.opened, self.written = 0.0, [], [], b""
        self.book = Book()

    def open(self, url, speed):
        self.opened.append((url, speed))
        if url == "taken":
            raise PortLost("taken cannot be opened (access denied)")
        return Wire(self, url, speed)

    def run(self, seconds):
        around = Surroundings(
            find=lambda: self.urls, open=self.open, clock=lambda: Instant(1e9 + self.t, self.t),
            pause=self.sleep, synchronised=lambda: False, tell=self.states.append,
        )  # fmt: skip
        logger = Logger(self.book, Decoder(), around)
        logger.run(lambda: self.t >= seconds)
        return logger

    def sleep(self, seconds):
        self.t += seconds


class Wire:
    def __init__(self, room, url, speed):
        self.room, self.url, self.speed, self.has_speed = room, url, speed, room.has_speed

    def read(self):
        self.room.t += READ_S
        return self.room.says(self.url, self.speed, self.room.t)

    def write(self, data):
        self.room.written += data

    def close(self):
        pass


def each_second(line):
    return lambda url, speed, t: line if t % 1.0 < READ_S else b""


def test_the_speed_that_makes_sense_is_found():
    noise = b"\xf8\x00\x80\xff\x00\n"
    room = Room(lambda url, speed, t: each_second(b"T: 20.5 C\n" if speed == 38400 else noise)(url, speed, t))
    room.run(120.0)
    assert [speed for _, speed in room.opened] == [115200, 9600, 57600, 38400]
    assert len(room.book.samples) > 60


def test_noise_without_an_end_of_line_is_a_wrong_speed_too():
    room = Room(lambda url, speed, t: b"T: 20.5 C\n" if speed == 9600 else b"\x80" * 20)
    room.run(60.0)
    assert room.opened[-1] == ("a", 9600)
    assert room.book.samples


def test_a_stream_without_speed_is_not_opened_again_for_noise():
    room = Room(each_second(b"\xf8\x00\n"), has_speed=False)
    room.run(60.0)
    assert len(room.opened) == 1


def test_the_port_that_opens_is_taken_and_the_reason_for_none_is_told():
    room = Room(each_second(b"T: 20.5 C\n"), urls=("taken", "b"))
    assert room.run(5.0).trouble == ""
    assert room.states[-1].startswith("recording from b")
    room = Room(each_second(b""), urls=("taken",))
    assert room.run(5.0).trouble == "looking for the probe: taken cannot be opened (access denied)"
    assert room.states == ["looking for the probe: taken cannot be opened (access denied)"]


def test_silence_is_told_once():
    room = Room(lambda url, speed, t: b"T: 20.5 C\n" if t < 5 else b"")
    logger = room.run(5 * SILENT_S)
    assert [state for state in room.states if "no value for" in state] == [
        "connected to a, but no value for 60 s"
    ]
    assert "last 20.50 °C" in logger.state


def test_a_question_is_the_state_until_it_is_answered():
    room = Room(each_second(b"45.1,23.4\n"))
    room.run(10.0)
    assert "which of these is the outdoor temperature" in room.states[-1]
    assert "station setup" in room.states[-1]
    assert not room.book.samples


def test_another_device_is_the_state_and_its_lines_are_kept_aside():
    room = Room(lambda url, speed, t: each_second(b"T: 20.5 C\n" if t < 10 else b"21.0;50\n")(url, speed, t))
    assert "another device" in room.run(60.0).trouble
    assert "another device" in room.states[-1]
    assert len(room.book.samples) < 12
    assert len(room.book.rejected) > 40


@pytest.mark.parametrize(("line", "answers"), [(own.write(20.0, 5.0), 3), (b"T: 20.0 C\n", 0)])
def test_a_probe_of_ours_hears_once_a_minute_that_somebody_listens_and_no_other_does(line, answers):
    room = Room(each_second(line))
    room.run(150.0)
    assert room.written == b"ok\n" * answers


def test_values_of_one_read_keep_their_order_and_their_number():
    room = Room(each_second(b"".join(b"T: %d.5 C\n" % i for i in range(10, 30))))
    room.run(30.0)
    times = [sample.time for sample in room.book.samples]
    assert len(times) == len(set(times)) == 20 * 30
    assert times == sorted(times)
