from __future__ import annotations

import datetime as dt
import os
import sqlite3

import pandas as pd
import pytest

from station.base.exceptions import BadEntry, BookDamaged, BookTooNew, BookUnwritable, UnusableInput
from station.record.columns import READINGS, SAMPLES, TABLES, Frames, check
from station.record.model import RejectedLine, Sample
from station.store import open_book, schema
from station.store.where import refuse_network

START = dt.datetime(2026, 10, 5, 13, 0, tzinfo=dt.UTC)
SETTINGS = '[site]\ntimezone = "America/Chicago"\n'


def samples(count, start=START, step_s=10.0, probe=""):
    return [
        Sample(start + dt.timedelta(seconds=i * step_s), 10.0 + i / 16, probe, 0.05) for i in range(count)
    ]


@pytest.fixture
def book(tmp_path):
    with open_book(tmp_path / "class.book", create=True, settings_text=SETTINGS) as book:
        yield book


def reading(**cells):
    usual = {"date": "2026-10-05", "session": "morning", "team": "Alder", "thermometer": "7"}
    return usual | {"celsius": "12,5", "fahrenheit": "54"} | cells


class TestOpening:
    def test_a_new_book_is_a_book_with_its_settings(self, book):
        assert book.settings_text() == SETTINGS
        book.check_integrity()

    def test_none_is_made_unless_asked(self, tmp_path):
        with pytest.raises(UnusableInput, match="no book"):
            open_book(tmp_path / "none.book")
        assert list(tmp_path.iterdir()) == []

    @pytest.mark.parametrize("content", [b"time,celsius\n" * 20, b""])
    def test_another_file_is_refused_and_left_alone(self, tmp_path, content):
        path = tmp_path / "other"
        path.write_bytes(content)
        with pytest.raises(UnusableInput, match="not a book"):
            open_book(path)
        assert path.read_bytes() == content

    def test_another_program_s_database_is_refused(self, tmp_path):
        path = tmp_path / "other.db"
        other = sqlite3.connect(path)
        other.execute("CREATE TABLE live (id)")
        other.close()
        with pytest.raises(UnusableInput, match="not a book"):
            open_book(path, create=True)

    def test_a_later_book_is_refused_politely_and_left_alone(self, tmp_path):
        path = tmp_path / "class.book"
        open_book(path, create=True).close()
        later = sqlite3.connect(path)
        later.execute(f"PRAGMA user_version = {schema.newest() + 1}")
        later.close()
        before = path.read_bytes()
        with pytest.raises(BookTooNew, match="later version"):
            open_book(path)
        assert path.read_bytes() == before

    def test_an_older_book_is_brought_up_after_a_copy(self, tmp_path, monkeypatch):
        path = tmp_path / "class.book"
        with open_book(path, create=True, settings_text=SETTINGS) as book:
            book.append_samples(samples(3))

        def second(sql):
            sql.execute("CREATE TABLE extra (id INTEGER PRIMARY KEY)")

        monkeypatch.setattr(schema, "STEPS", {**schema.STEPS, 2: second})
        with open_book(path) as book:
            assert book.counts() == (3, 0)
            with book._connection.read() as sql:
                assert sql.execute("SELECT count(*) FROM extra").fetchone() == (0,)
        monkeypatch.undo()
        with open_book(tmp_path / "class.book.version-1") as copy:
            assert copy.counts() == (3, 0)

    def test_a_migration_that_fails_changes_nothing(self, tmp_path, monkeypatch):
        path = tmp_path / "class.book"
        open_book(path, create=True, settings_text=SETTINGS).close()

        def broken(sql):
            sql.execute("DROP TABLE settings")
            sql.execute("CREATE nonsense")

        monkeypatch.setattr(schema, "STEPS", {**schema.STEPS, 2: broken})
        with pytest.raises(sqlite3.OperationalError):
            open_book(path)
        monkeypatch.undo()
        with open_book(path) as book:
            assert book.settings_text() == SETTINGS

    def test_a_damaged_page_is_found(self, tmp_path):
        path = tmp_path / "class.book"
        with open_book(path, create=True) as book:
            for day in range(40):
                book.append_samples(samples(500, START + dt.timedelta(days=day)))
        data = bytearray(path.read_bytes())
        middle = len(data) // 2
        data[middle : middle + 3000] = bytes(3000)
        path.write_bytes(data)
        with open_book(path) as book, pytest.raises(BookDamaged, match="backup"):
            book.check_integrity()

    def test_a_book_in_a_folder_that_may_not_be_written_opens_for_reading(self, tmp_path, monkeypatch):
        path = tmp_path / "class.book"
        with open_book(path, create=True, settings_text=SETTINGS) as book:
            book.append_samples(samples(3))
        monkeypatch.setattr(os, "access", lambda path, mode: False)
        with open_book(path) as book:
            assert book.counts() == (3, 0)
            with pytest.raises(BookUnwritable, match="read-only"):
                book.append_samples(samples(1))

    def test_network_drives_are_refused(self, tmp_path):
        mounts = tmp_path / "mounts"
        mounts.write_text("/dev/sda / ext4 rw 0 0\nserver:/x /mnt/share nfs4 rw 0 0\n")
        refuse_network(tmp_path / "class.book", mounts)
        with pytest.raises(UnusableInput, match="network drive"):
            refuse_network(type(tmp_path)("/mnt/share/class.book"), mounts)


class TestSamples:
    def test_samples_and_rejected_lines_come_back(self, book):
        book.append_samples(samples(5), [RejectedLine(START, "nan", "not a number")])
        frames = book.frames()
        check(frames.probe, SAMPLES, "probe")
        assert frames.probe["celsius"].tolist() == [10.0 + i / 16 for i in range(5)]
        assert frames.probe["time"].tolist() == [s.time for s in samples(5)]
        assert frames.table("rejected")["reason"].tolist() == ["not a number"]

    def test_each_probe_has_its_own_record(self, book):
        book.append_samples([*samples(2), *samples(3, probe="roof")])
        assert {name: len(frame) for name, frame in book.frames().probes.items()} == {"": 2, "roof": 3}

    def test_sealing_changes_nothing_that_is_read(self, book):
        three_days = samples(3 * 24 * 6, step_s=600.0)
        book.append_samples(three_days)
        before, u_before = book.frames().probe, book.time_uncertainty()
        assert book.seal_days(dt.date(2026, 10, 7)) == 2
        pd.testing.assert_frame_equal(book.frames().probe, before)
        pd.testing.assert_frame_equal(book.time_uncertainty(), u_before)
        late = samples(1, START + dt.timedelta(hours=1, seconds=5))
        book.append_samples(late)  # a value of a sealed day that came late
        assert book.seal_days(dt.date(2026, 10, 9)) == 3
        assert len(book.frames().probe) == len(before) + 1
        with book._connection.read() as sql:
            assert sql.execute("SELECT count(*) FROM live").fetchone() == (0,)

    def test_sealing_that_fails_leaves_every_sample(self, book, monkeypatch):
        from station.store import samples as module

        book.append_samples(samples(2 * 24 * 6, step_s=600.0))
        before = book.counts()
        real = module._seal

        def breaks(sql, series, packed):
            real(sql, series, packed)
            raise RuntimeError("power cut")

        monkeypatch.setattr(module, "_seal", breaks)
        with pytest.raises(RuntimeError):
            book.seal_days(dt.date(2026, 10, 9))
        assert book.counts() == before
        assert len(book.frames().probe) == before[0]

    def test_the_last_sample_of_a_probe(self, book):
        assert book.last_sample() is None
        book.append_samples([*samples(3), *samples(5, probe="roof")])
        assert book.last_sample() == Sample(START + dt.timedelta(seconds=20), 10.125)
        assert book.last_sample("roof").celsius == 10.25
        book.seal_days(dt.date(2027, 1, 1))  # as an import, or the days after the laptop went away, leave it
        assert book.last_sample() == Sample(START + dt.timedelta(seconds=20), 10.125)
        assert book.last_sample("tree") is None

    def test_of_two_samples_at_one_instant_the_first_holds(self, book):
        book.append_samples([Sample(START, 10.0), Sample(START, 11.0)])
        assert book.frames().probe["celsius"].tolist() == [10.0]


class TestEntries:
    def test_a_reading_is_kept_as_written_with_role_and_time(self, book):
        row = book.add_reading(reading(note="windy"), "pupils")
        frame = book.readings()
        assert frame.loc[0, ["celsius", "celsius_written", "by", "row", "note"]].tolist() == [
            12.5, "12,5", "pupils", row, "windy"]  # fmt: skip
        assert frame.loc[0, "at"].tzinfo is not None
        check(book.frames().readings, READINGS, "readings")

    def test_an_edit_keeps_the_old_value(self, book):
        row = book.add_reading(reading(), "pupils")
        book.edit_reading(row, "celsius", "15.2", "teacher", "card says so")
        assert book.readings()["celsius"].tolist() == [15.2]
        edit = book.frames().table("edits").iloc[0]
        assert edit[["by", "table", "row", "column", "old", "new", "reason"]].tolist() == [
            "teacher", "readings", str(row), "celsius", "12,5", "15.2", "card says so"]  # fmt: skip

    def test_an_edit_that_changes_nothing_leaves_no_trace(self, book):
        row = book.add_reading(reading(), "pupils")
        book.edit_reading(row, "team", "Alder", "teacher", "")
        assert len(book.frames().table("edits")) == 0

    @pytest.mark.parametrize(
        ("cells", "by"),
        [(reading(), "Ms Somebody"), (reading(date="soon"), "pupils"), (reading(team=" "), "pupils"),
         (reading(colour="red"), "pupils")],
    )  # fmt: skip
    def test_what_cannot_be_kept_is_refused_whole(self, book, cells, by):
        with pytest.raises(BadEntry):
            book.add_reading(cells, by)
        assert len(book.readings()) == 0

    def test_rows_of_optional_tables(self, book):
        row = book.add_row(
            "sessions", {"date": "2026-10-05", "session": "morning", "shadow": "no"}, "teacher"
        )
        book.edit_row("sessions", row, "shadow", "faint", "teacher", "looked again")
        frame = book.frames().table("sessions")
        check(frame, TABLES["sessions"], "sessions")
        assert frame["shadow"].tolist() == ["faint"]
        assert book.rows_of("sessions") == [row]
        with pytest.raises(BadEntry):
            book.add_row("secrets", {}, "teacher")

    def test_settings_keep_their_history(self, book):
        book.set_settings_text(SETTINGS + "# changed\n", "teacher", "moved")
        assert [version.text for version in book.settings_history()] == [SETTINGS, SETTINGS + "# changed\n"]

    def test_memory(self, book):
        book.remember("port", {"shape": 1})
        assert book.recall("port") == {"shape": 1}
        assert book.recall("nothing") is None


class TestDeletion:
    SECRET = "Zebrafish-4711"

    def bytes_left(self, book):
        files = list(book.path.parent.glob(book.path.name + "*"))
        assert len(files) >= 2
        return [file.name for file in files if self.SECRET.encode() in file.read_bytes()]

    def test_no_byte_is_left_in_book_or_wal(self, book):
        for i in range(300):
            book.add_reading(reading(note=f"plain {i}"), "pupils")
        row = book.add_reading(reading(team=self.SECRET), "pupils")
        book.edit_reading(row, "note", f"about {self.SECRET}", "teacher", "")
        book.edit_reading(row, "note", "x", "teacher", "")
        assert self.bytes_left(book)
        book.delete("readings", [row], "teacher", "asked to")
        assert self.bytes_left(book) == []
        assert not book.clean_up_due()
        log = book.frames().table("edits")
        assert log.iloc[-1][["by", "table", "row", "new", "reason"]].tolist() == [
            "teacher", "readings", str(row), "deleted", "asked to"]  # fmt: skip
        assert len(book.readings()) == 300
        book.check_integrity()

    def test_a_reader_in_the_way_is_told_and_the_clean_up_is_remembered(self, book, monkeypatch):
        from station.base.exceptions import BookBusy
        from station.store import care as module

        monkeypatch.setattr(module, "_READERS_S", 0.2)
        row = book.add_reading(reading(team=self.SECRET), "pupils")
        with open_book(book.path) as other:
            with other._connection.read() as sql:
                sql.execute("SELECT count(*) FROM reading").fetchone()
                with pytest.raises(BookBusy, match="clean up again"):
                    book.delete("readings", [row], "teacher", "asked to")
            assert book.clean_up_due()
            book.clean()
            assert self.bytes_left(book) == []


def test_backup_while_another_writes(book, tmp_path):
    book.append_samples(samples(1000))
    with open_book(book.path) as other:
        other.append_samples(samples(10, START + dt.timedelta(days=1)))
        book.backup(tmp_path / "copy.book")
        other.append_samples(samples(10, START + dt.timedelta(days=2)))
    with open_book(tmp_path / "copy.book") as copy:
        copy.check_integrity()
        assert copy.counts() == (1010, 0)


def test_import_is_refused_where_a_recording_is(book):
    book.append_samples(samples(1))
    with pytest.raises(UnusableInput, match="already holds"):
        book.import_frames(Frames())
