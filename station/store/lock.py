"""One lock file beside the book, held by whoever writes, checkpoints or closes.

SQLite before 3.51.3 can corrupt a WAL when one connection checkpoints while another writes. Automatic
checkpoints are therefore off, and every write, checkpoint and close of any process holds this lock, so that
no two ever happen at once. The operating system frees the lock of a process that dies.
"""

from __future__ import annotations

import os
import sys
import threading
import time
from pathlib import Path
from types import TracebackType

from station.base.exceptions import BookBusy, BookUnwritable

#: Longest wait for another writer, s; one write takes milliseconds, a clean-up of a large book seconds.
PATIENCE_S = 30.0
#: Pause between two tries, s: short, as whoever holds the lock is done in milliseconds.
_PAUSE_S = 0.001
#: A writer that comes back at once lets whoever waits go first for this long, s, so that nobody is starved.
_COURTESY_S = 0.005
#: Whoever waits touches the lock file; a touch younger than this means that somebody still waits, s.
_WAITING_S = 0.05

if sys.platform == "win32":
    import msvcrt

    def _try_lock(fd: int) -> bool:
        os.lseek(fd, 0, os.SEEK_SET)
        try:
            msvcrt.locking(fd, msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        return True

    def _unlock(fd: int) -> None:
        os.lseek(fd, 0, os.SEEK_SET)
        msvcrt.locking(fd, msvcrt.LK_UNLCK, 1)
else:
    import fcntl

    def _try_lock(fd: int) -> bool:
        try:
            fcntl.flock(fd, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        return True

    def _unlock(fd: int) -> None:
        fcntl.flock(fd, fcntl.LOCK_UN)


class WriteLock:
    """Excludes all other writers of one book, in this process and in others; may be entered again within."""

    def __init__(self, book: Path) -> None:
        self._path = book.with_name(book.name + ".lock")
        self._inner = threading.RLock()
        self._fd = -1
        self._depth = 0
        self._released = float("-inf")

    def __enter__(self) -> WriteLock:
        """Wait for the lock.

        Raises
        ------
        BookBusy
            Another process held the lock for `PATIENCE_S`.
        BookUnwritable
            The lock file cannot be made: a read-only disk or folder.
        """
        self._inner.acquire()
        try:
            if self._depth == 0:
                self._acquire()
        except BaseException:
            self._inner.release()
            raise
        self._depth += 1
        return self

    def __exit__(
        self, kind: type[BaseException] | None, value: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Give the lock back."""
        self._depth -= 1
        if self._depth == 0:
            _unlock(self._fd)
            self._released = time.monotonic()
        self._inner.release()

    def _acquire(self) -> None:
        if self._fd < 0:
            try:
                self._fd = os.open(self._path, os.O_RDWR | os.O_CREAT, 0o666)
            except OSError as trouble:
                raise BookUnwritable(f"{self._path} cannot be made ({trouble.strerror})") from None
        back_at_once = time.monotonic() - self._released < _COURTESY_S
        if back_at_once and abs(time.time() - os.fstat(self._fd).st_mtime) < _WAITING_S:
            time.sleep(_COURTESY_S)
        deadline = time.monotonic() + PATIENCE_S
        while not _try_lock(self._fd):
            os.utime(self._path)
            if time.monotonic() > deadline:
                raise BookBusy(f"another program has been writing {self._path.name} for {PATIENCE_S:.0f} s")
            time.sleep(_PAUSE_S)

    def close(self) -> None:
        """Close the lock file; the lock must not be held."""
        if self._fd >= 0:
            os.close(self._fd)
            self._fd = -1
