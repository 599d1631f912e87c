from __future__ import annotations

import datetime as dt

import pytest

from station.base.exceptions import BookUnwritable
from station.line import keeper as module
from station.line.keeper import COMMIT_S, Keeper
from station.record.model import RejectedLine, Sample

START = dt.datetime(2026, 10, 5, 12, tzinfo=dt.UTC)


class Disk:
    """A sink that can be full."""

    def __init__(self):
        self.full = False
        self.samples, self.rejected, self.spans, self.sealed = [], [], [], []

    def append_samples(self, samples, rejected=(), *, span=None, until=None, confirmed=False):
        if self.full:
            raise BookUnwritable("the disk is full")
        self.samples += samples
        self.rejected += rejected

    def new_span(self, start, step_s, boot, base_s):
        if self.full:
            raise BookUnwritable("the disk is full")
        self.spans.append((start, step_s))
        return len(self.spans)

    def seal_days(self, before):
        self.sealed.append(before)
        return 0


@pytest.fixture
def disk():
    return Disk()


@pytest.fixture
def keeper(disk):
    keeper = Keeper(disk)
    keeper.stretch(START, None, "boot", 0.0)
    return keeper


def sample(i):
    return Sample(START + dt.timedelta(seconds=i), float(i))


def test_values_share_a_commit_but_wait_no_longer(keeper, disk):
    keeper.add(sample(0), 100.0)
    keeper.add(sample(1), 100.2)
    keeper.commit(100.0 + COMMIT_S / 2, False)
    assert disk.samples == []
    keeper.commit(100.0 + COMMIT_S, False)
    assert [s.celsius for s in disk.samples] == [0.0, 1.0]


def test_a_full_disk_is_told_and_nothing_is_lost(keeper, disk):
    disk.full = True
    for i in range(100):
        keeper.add(sample(i), float(i))
        keeper.add(RejectedLine(START, f"x{i}", "damaged"), float(i))
        keeper.commit(float(i) + 1.0, False)
    assert keeper.trouble == "the disk is full"
    assert keeper.held == 100
    disk.full = False
    keeper.commit(110.0, False)
    assert keeper.trouble == ""
    assert [s.celsius for s in disk.samples] == [float(i) for i in range(100)]
    assert len(disk.rejected) == 100


def test_a_step_while_the_disk_is_full_keeps_each_value_in_its_stretch(keeper, disk):
    disk.full = True
    keeper.add(sample(0), 0.0)
    keeper.stretch(START + dt.timedelta(hours=1), 3600.0, "boot", 3600.0)
    keeper.add(sample(1), 1.0)
    keeper.commit(5.0, False)
    disk.full = False
    keeper.commit(20.0, False)
    assert [(s.celsius, s.span) for s in disk.samples] == [(0.0, 1), (1.0, 2)]
    assert [step for _, step in disk.spans] == [None, 3600.0]


def test_memory_is_bounded_and_what_is_lost_is_counted(keeper, disk, monkeypatch):
    monkeypatch.setattr(module, "HELD", 10)
    disk.full = True
    for i in range(25):
        keeper.add(sample(i), float(i))
    assert (keeper.held, keeper.dropped) == (10, 15)


def test_days_are_sealed_once(keeper, disk):
    for hour in range(50):
        keeper.add(sample(0), hour * 3600.0)
        keeper.reached(START + dt.timedelta(hours=hour))
        keeper.commit(hour * 3600.0 + 10.0, False)
    assert disk.sealed == [dt.date(2026, 10, day) for day in (4, 5, 6)]
