"""The pictures of the comparison, drawn once for all clients and kept until the comparison changes."""

from __future__ import annotations

import tempfile
import threading
from pathlib import Path

from starlette.requests import Request
from starlette.responses import Response

from station.assess import Assessment
from station.base.exceptions import BadEntry
from station.views.web import wording
from station.views.web.desk import Desk


class Pictures:
    """Keeps each picture of one comparison as SVG."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._of: Assessment | None = None
        self._kept: dict[str, bytes] = {}

    def svg(self, assessment: Assessment, name: str) -> bytes:
        """Return a picture by its name in ``views.plots``, without the prefix."""
        from station.views import wording as sentences
        from station.views.plots import PICTURES, save

        key = f"picture-{name}"
        if key not in PICTURES:
            raise BadEntry(wording.NOT_FOUND)
        with self._lock:
            if self._of is not assessment:
                self._of, self._kept = assessment, {}
            if name not in self._kept:
                with tempfile.TemporaryDirectory() as folder:
                    path = Path(folder) / "picture.svg"
                    save(PICTURES[key](assessment), path, sentences.PICTURE_TITLES[key])
                    self._kept[name] = path.read_bytes()
            return self._kept[name]


def picture(desk: Desk, request: Request) -> Response:
    """Answer with one picture of what may be seen now."""
    pictures: Pictures = request.app.state.pictures
    body = pictures.svg(desk.assessment(), request.path_params["name"])
    return Response(body, media_type="image/svg+xml")
