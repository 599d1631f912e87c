from __future__ import annotations

import contextlib
import os
from types import SimpleNamespace

import pytest

from station.base.exceptions import PortLost
from station.line import port as module
from station.line.port import Finder, Port, ports

pty = pytest.importorskip("pty")
tty = pytest.importorskip("tty")


@pytest.fixture
def wire():
    master, slave = pty.openpty()
    tty.setraw(slave)
    yield master, os.ttyname(slave)
    for handle in (master, slave):
        with contextlib.suppress(OSError):
            os.close(handle)


def test_bytes_come_in_blocks(wire):
    master, name = wire
    port = Port(name)
    os.write(master, b"T: 21.5 C\nT: 2")
    assert port.read() == b"T: 21.5 C\nT: 2"
    assert port.read() == b""
    port.close()


def test_a_pulled_cable_is_one_situation(wire):
    master, name = wire
    port = Port(name)
    os.close(master)
    with pytest.raises(PortLost):
        b"".join(port.read() for _ in range(20))
    port.close()
    port.close()


@pytest.mark.parametrize("url", ["/dev/none-such", "socket://127.0.0.1:1", "nonsense://x", ""])
def test_what_cannot_be_opened_is_one_situation(url):
    with pytest.raises(PortLost, match="cannot be opened"):
        Port(url)


def test_any_url_of_the_library_works():
    port = Port("loop://")
    port.write(b"21.5\n")
    assert port.read() == b"21.5\n"
    assert not port.has_speed
    port.close()


def device(name, vid=None, serial=None):
    return SimpleNamespace(
        device=name, vid=vid, pid=vid, serial_number=serial, location="1-1", description="lead"
    )


def test_usb_ports_come_first_and_say_why(monkeypatch):
    found = [device("/dev/ttyS0"), device("/dev/rfcomm-Bluetooth"), device("/dev/ttyUSB0", 1, "A")]
    monkeypatch.setattr(module.list_ports, "comports", lambda: found)
    assert [(p.url, p.likely) for p in ports()] == [
        ("/dev/ttyUSB0", True), ("/dev/rfcomm-Bluetooth", False), ("/dev/ttyS0", False)]  # fmt: skip
    assert "USB" in ports()[0].why


def test_the_same_device_is_found_under_another_name(monkeypatch):
    found = [device("/dev/ttyUSB0", 1, "A")]
    monkeypatch.setattr(module.list_ports, "comports", lambda: found)
    find = Finder("/dev/ttyUSB0")
    find.opened("/dev/ttyUSB0")
    found[:] = [device("/dev/ttyUSB0", 1, "B"), device("/dev/ttyUSB1", 1, "A")]
    assert find() == ["/dev/ttyUSB1", "/dev/ttyUSB0"]
    assert Finder("socket://127.0.0.1:5")() == ["socket://127.0.0.1:5"]
    assert Finder()() == ["/dev/ttyUSB0", "/dev/ttyUSB1"]
