"""The pictures of one assessment, each a function from an ``Assessment`` to a matplotlib ``Figure``."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from pathlib import Path

from matplotlib.figure import Figure

from station.assess import Assessment
from station.record.model import Session
from station.views import found, wording
from station.views.plots.box import thermometer_offsets, two_scales
from station.views.plots.change import before_and_after, thermometer_steps
from station.views.plots.clock import clock_shifts
from station.views.plots.digits import last_digits
from station.views.plots.gap import error_against_gap
from station.views.plots.grid import team_thermometer_grid
from station.views.plots.probe import probe_record
from station.views.plots.session import session_dots
from station.views.plots.slips import two_scales_of_teams
from station.views.plots.style import save
from station.views.plots.teams import errors_by_team

Picture = Callable[[Assessment], Figure]

#: File name (without suffix) -> picture that every recording has.
PICTURES: Mapping[str, Picture] = {
    "picture-teams": errors_by_team,
    "picture-session": session_dots,
    "picture-probe": probe_record,
    "picture-thermometers": thermometer_offsets,
    "picture-two-scales": two_scales,
}
#: Pictures that a finding calls for.
EVIDENCE: Mapping[str, Picture] = {
    "picture-grid": team_thermometer_grid,
    "picture-gap": error_against_gap,
    "picture-slips": two_scales_of_teams,
    "picture-last-digit": last_digits,
    "picture-coaching": before_and_after,
    "picture-steps": thermometer_steps,
    "picture-clock": clock_shifts,
}
#: Sessions whose cards as a whole are in question get a picture each, the latest ones.
BATCHES = ("wrong_half_day", "wrong_date", "whole_class")
BATCHES_MOST = 4

__all__ = [
    "EVIDENCE", "PICTURES", "before_and_after", "called_for", "clock_shifts", "error_against_gap",
    "errors_by_team", "last_digits", "probe_record", "save", "session_dots", "team_thermometer_grid",
    "thermometer_offsets", "thermometer_steps", "two_scales", "two_scales_of_teams", "write",
]  # fmt: skip


def called_for(assessment: Assessment) -> list[str]:
    """Return the names of the evidence that the findings of this recording call for."""
    findings = assessment.findings
    kinds = {f.kind for mine in findings.thermometers.values() for f in mine}
    kinds |= {f.kind for team in findings.teams for f in found.named(assessment, team)}
    wanted = {found.PICTURE_OF.get(kind) for kind in kinds}
    if findings.changes:
        wanted.add("picture-coaching")
    if findings.clock:
        wanted.add("picture-clock")
    return [name for name in EVIDENCE if name in wanted]


def write(assessment: Assessment, directory: Path) -> list[Path]:
    """Write the pictures of every recording and those called for as PNG and SVG; return the files."""
    written = []
    for name, title, figure in _drawn(assessment):
        for suffix in (".png", ".svg"):
            path = directory / f"{name}{suffix}"
            save(figure, path, title)
            written.append(path)
    return written


def _drawn(assessment: Assessment) -> Iterator[tuple[str, str, Figure]]:
    for name, picture in PICTURES.items():
        yield name, wording.PICTURE_TITLES[name], picture(assessment)
    for name in called_for(assessment):
        yield name, wording.PICTURE_TITLES[name], EVIDENCE[name](assessment)
    sessions = assessment.sessions
    noted = sessions[sessions["notes"].map(lambda kinds: bool({*kinds} & {*BATCHES})).astype(bool)]
    for date, part in noted[["date", "session"]].tail(BATCHES_MOST).itertuples(index=False, name=None):
        name = f"picture-session-{date.isoformat()}-{part}"
        title = wording.PICTURE_TITLES["picture-session"]
        yield name, title, session_dots(assessment, Session(date, part))
