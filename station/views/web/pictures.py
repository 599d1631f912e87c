"""The pictures of the comparison, drawn once for all clients and kept until the comparison changes."""

from __future__ import annotations

import tempfile
import threading
from pathlib import Path

from starlette.requests import Request
from starlette.responses import Response

from station.assess import Assessment
from station.base.exceptions import BadEntry
from station.views import wording_place
from station.views.web import wording
from station.views.web.desk import Desk
from station.views.web.pages.cover import private
from station.views.web.pages.place import surveyed

#: Pictures without a team, beside those of the place.
OPEN = ("thermometers", "two-scales", "probe")


class Pictures:
    """Keeps each picture of one comparison as SVG."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._of: Assessment | None = None
        self._kept: dict[str, bytes] = {}

    def svg(self, desk: Desk, name: str) -> bytes:
        """Return a picture by its name in ``views.plots`` or ``views.plots_place``, without the prefix."""
        assessment = desk.assessment()
        with self._lock:
            if self._of is not assessment:
                self._of, self._kept = assessment, {}
            if name not in self._kept:
                self._kept[name] = _drawn(desk, assessment, f"picture-{name}")
            return self._kept[name]


def _drawn(desk: Desk, assessment: Assessment, key: str) -> bytes:
    from station.views import plots, plots_place
    from station.views import wording as sentences

    if key in plots_place.PICTURES:
        figure = plots_place.PICTURES[key](surveyed(desk).place, desk.settings)
        title = wording_place.PICTURE_TITLES[key]
    elif key in plots.PICTURES or key in plots.called_for(assessment):
        figure = {**plots.PICTURES, **plots.EVIDENCE}[key](assessment)
        title = sentences.PICTURE_TITLES[key]
    else:
        raise BadEntry(wording.NOT_FOUND)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "picture.svg"
        plots.save(figure, path, title)
        return path.read_bytes()


def picture(desk: Desk, request: Request) -> Response:
    """Answer with one picture of what may be seen now; those that may point to a team are private."""
    name = request.path_params["name"]
    open_ = name in OPEN or f"picture-{name}" in wording_place.PICTURE_TITLES
    return (_answer if open_ else private(_answer))(desk, request)


def _answer(desk: Desk, request: Request) -> Response:
    pictures: Pictures = request.app.state.pictures
    return Response(pictures.svg(desk, request.path_params["name"]), media_type="image/svg+xml")
