"""The pictures of one assessment, each a function from an ``Assessment`` to a matplotlib ``Figure``."""

from __future__ import annotations

from pathlib import Path

from station.assess import Assessment
from station.views import wording
from station.views.plots.box import thermometer_offsets, two_scales
from station.views.plots.probe import probe_record
from station.views.plots.session import session_dots
from station.views.plots.style import save
from station.views.plots.teams import errors_by_team

#: File name (without suffix) -> picture.
PICTURES = {
    "picture-teams": errors_by_team,
    "picture-session": session_dots,
    "picture-probe": probe_record,
    "picture-thermometers": thermometer_offsets,
    "picture-two-scales": two_scales,
}

__all__ = [
    "PICTURES", "errors_by_team", "probe_record", "save", "session_dots", "thermometer_offsets",
    "two_scales", "write",
]  # fmt: skip


def write(assessment: Assessment, directory: Path) -> list[Path]:
    """Write every picture as PNG and SVG; return the files."""
    written = []
    for name, picture in PICTURES.items():
        figure = picture(assessment)
        for suffix in (".png", ".svg"):
            path = directory / f"{name}{suffix}"
            save(figure, path, wording.PICTURE_TITLES[name])
            written.append(path)
    return written
