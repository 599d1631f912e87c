"""Where a book may lie: on a disk of this machine, never on a drive of another one."""

from __future__ import annotations

import stat
from pathlib import Path

from station.base.exceptions import UnusableInput

#: File systems that reach over a network (Linux names).
_NETWORK = frozenset(
    ("nfs", "nfs4", "cifs", "smb3", "smbfs", "afs", "9p", "fuse.sshfs", "fuse.rclone", "davfs")
)


def refuse_network(path: Path, mounts: Path = Path("/proc/self/mounts")) -> None:
    """Refuse a place that another machine serves.

    Only what the system tells is seen: a Windows network path, or a mounted network file system on Linux. A
    folder that a program copies to other machines cannot be told from a plain one; the docs say so.

    Raises
    ------
    UnusableInput
        One sentence that says where to put the book instead.
    """
    whole = path.expanduser().absolute()
    if str(whole).startswith(("\\\\", "//")) or _kind(whole, mounts) in _NETWORK:
        raise UnusableInput(
            f"{path} lies on a network drive, which cannot keep a book safe; put it on this computer's disk"
        )


def refuse_other_kinds(path: Path) -> None:
    """Refuse a folder, a pipe or a device, and a name that cannot be followed; a name without a file is fine.

    Raises
    ------
    UnusableInput
        One sentence that says what is there.
    """
    try:
        mode = path.stat().st_mode
    except FileNotFoundError:
        return
    except OSError as trouble:
        raise UnusableInput(f"{path} cannot be read ({trouble.strerror})") from None
    if stat.S_ISDIR(mode):
        raise UnusableInput(f"{path} is a folder, and a book is one file")
    if not stat.S_ISREG(mode):
        raise UnusableInput(f"{path} is not a file")


def _kind(path: Path, mounts: Path) -> str:
    """Return the file system of the longest mount point above ``path``; empty where it is not known."""
    try:
        lines = mounts.read_text(encoding="utf-8", errors="replace").splitlines()
    except OSError:
        return ""
    best, kind = -1, ""
    for line in lines:
        fields = line.split()
        if len(fields) < 3:
            continue
        point = Path(fields[1].replace("\\040", " "))
        if path.is_relative_to(point) and len(point.parts) > best:
            best, kind = len(point.parts), fields[2]
    return kind
