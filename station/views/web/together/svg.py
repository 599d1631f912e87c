"""Own drawings as SVG that stands inside a page: escaped, the same for the same input, styled by classes.

Nothing here carries a style of its own, so that a strict content security policy holds and one set of
variables turns paper into a dark screen or a black-and-white sheet.
"""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from markupsafe import Markup


class Drawing:
    """A drawing in the making; coordinates in its own units, y downwards."""

    def __init__(self, width: float, height: float, says: str, kind: str) -> None:
        self.width, self.height = width, height
        self._says, self._kind = says, kind
        self._parts: list[str] = []

    def line(self, x1: float, y1: float, x2: float, y2: float, kind: str, **more: float | str) -> None:
        """Draw a straight line."""
        self._add("line", kind, x1=x1, y1=y1, x2=x2, y2=y2, **more)

    def rect(self, x: float, y: float, width: float, height: float, kind: str, **more: float | str) -> None:
        """Draw a rectangle."""
        self._add("rect", kind, x=x, y=y, width=width, height=height, **more)

    def circle(self, x: float, y: float, r: float, kind: str, **more: float | str) -> None:
        """Draw a disc."""
        self._add("circle", kind, cx=x, cy=y, r=r, **more)

    def path(self, points: Sequence[tuple[float, float]], kind: str) -> None:
        """Draw a line through points."""
        self._add("polyline", kind, points=" ".join(f"{number(x)},{number(y)}" for x, y in points))

    def text(
        self, x: float, y: float, words: str, kind: str = "", size: float = 16.0, anchor: str = "start"
    ) -> None:
        """Write words; ``y`` is their middle."""
        attributes: dict[str, float | str] = {
            "x": x,
            "y": y + 0.35 * size,
            "font-size": size,
            "text-anchor": anchor,
        }
        self._parts.append(f"<text{_attributes(kind, attributes)}>{escape(words)}</text>")

    def hatch(self, name: str, gap: float) -> str:
        """Define the probe's hatch and return what fills with it."""
        self._parts.append(
            f'<defs><pattern id="{escape(name)}" width="{number(gap)}" height="{number(gap)}" '
            'patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
            f'<line class="hatching" x1="0" y1="0" x2="0" y2="{number(gap)}"/></pattern></defs>'
        )
        return f"url(#{name})"

    def group(self, kind: str, name: str = "") -> None:
        """Open a group."""
        self._parts.append(f"<g{_attributes(kind, {'id': name} if name else {})}>")

    def end(self) -> None:
        """Close the group that was opened last."""
        self._parts.append("</g>")

    def markup(self) -> Markup:
        """Return the whole drawing."""
        size = f"{number(self.width)} {number(self.height)}"
        head = (
            f'<svg class="drawing {escape(self._kind)}" viewBox="0 0 {size}" '
            f'role="img" aria-label="{escape(self._says)}" xmlns="http://www.w3.org/2000/svg">'
        )
        return Markup(head + "".join(self._parts) + "</svg>")  # every part above was escaped

    def _add(self, tag: str, kind: str, **attributes: float | str) -> None:
        self._parts.append(f"<{tag}{_attributes(kind, attributes)}/>")


def number(value: float) -> str:
    """Return a coordinate with at most one decimal and no negative zero."""
    return f"{round(float(value), 1) + 0.0:g}" if abs(value) < 1e5 else f"{value:.0f}"


def _attributes(kind: str, attributes: dict[str, float | str]) -> str:
    given = {"class": kind, **attributes} if kind else attributes
    return "".join(
        f' {name.replace("_", "-")}="{escape(value) if isinstance(value, str) else number(value)}"'
        for name, value in given.items()
    )
