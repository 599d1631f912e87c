"""One picture language: marks on a vertical scale, stripes behind them, a hatch for the probe.

Figures are made without pyplot, so nothing is registered anywhere. Style settings hold only while a picture
is drawn or saved; a lock keeps two threads from seeing each other's.
"""

from __future__ import annotations

import functools
import math
import textwrap
import threading
import warnings
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any, ParamSpec

import matplotlib as mpl
from matplotlib import font_manager
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle
from matplotlib.ticker import FuncFormatter, MaxNLocator

from station.views import phrases, wording

PAPER = "#fdfaf3"  # warm white
INK = "#26282c"
SOFT = "#5f5c55"  # one of many marks
FAINT = "#8d8879"  # thin rules, second words
STRIPE = "#e9e1cd"  # what an instrument promises
HATCH = "////"  # the probe
# Okabe and Ito (2008), Color Universal Design: safe for the common kinds of colour vision.
ACCENT = "#d55e00"  # vermilion: look here
PROBE = "#0072b2"  # blue
PALE = "#f1cbaa"  # three tenths of the accent on paper: a hatch stays visible on it

#: matplotlib ships DejaVu Sans; the others serve names in scripts it lacks, where a system has them.
FALLBACK_FONTS = (
    "Noto Sans",
    "Noto Sans CJK SC",
    "Microsoft YaHei",
    "Hiragino Sans",
    "Segoe UI",
    "Arial Unicode MS",
)
WIDTH_IN = 9.0
MARGIN_IN = 0.75
#: Height of one line of the sentence above a picture [in].
LINE_IN = 0.24
#: Letters on a line of the sentence, and of the small notes, across the whole picture.
LETTERS, SMALL_LETTERS = 88, 122
#: Width of a letter of a lane's name [in].
LETTER_IN = 0.085
PNG_DPI = 160

_P = ParamSpec("_P")
_lock = threading.RLock()


@functools.cache
def _style() -> Any:
    installed = {font.name for font in font_manager.fontManager.ttflist}
    return {
        "font.family": ["DejaVu Sans", *(name for name in FALLBACK_FONTS if name in installed)],
        "font.size": 9.0,
        "text.color": INK,
        "axes.labelcolor": INK,
        "axes.edgecolor": FAINT,
        "axes.linewidth": 0.6,
        "axes.facecolor": "none",
        "axes.spines.top": False,
        "axes.spines.right": False,
        "xtick.color": FAINT,
        "ytick.color": FAINT,
        "xtick.labelcolor": INK,
        "ytick.labelcolor": INK,
        "xtick.major.width": 0.6,
        "ytick.major.width": 0.6,
        "hatch.linewidth": 0.5,
        "svg.hashsalt": "station",
        "svg.fonttype": "path",
        "path.simplify": True,
    }


@contextmanager
def _styled() -> Iterator[None]:
    with _lock, mpl.rc_context(_style()), warnings.catch_warnings():
        # a name in a script that no installed font has is drawn as an empty box, and that is all
        warnings.filterwarnings("ignore", message="Glyph .* missing from font")
        warnings.filterwarnings("ignore", message="Matplotlib currently does not support")
        yield


def drawn(picture: Callable[_P, Figure]) -> Callable[_P, Figure]:
    """Draw a picture in the style of the house, leaving matplotlib's own settings as they were."""

    @functools.wraps(picture)
    def wrapped(*args: _P.args, **kwargs: _P.kwargs) -> Figure:
        with _styled():
            return picture(*args, **kwargs)

    return wrapped


def page(
    sentence: str, height_in: float, notes: str = ""
) -> tuple[Figure, tuple[float, float, float, float]]:
    """Return an empty picture with its sentence above, small notes below, and the room left between.

    Parameters
    ----------
    sentence : str
        What to see, with numbers and unit.
    height_in : float
        Height of the room for the drawing [in].
    notes : str
        How to read the marks.

    Returns
    -------
    Figure, (left, bottom, width, height)
        Fractions of the figure, as ``Figure.add_axes`` takes them.
    """
    head = textwrap.wrap(sentence, LETTERS)
    foot = textwrap.wrap(notes, SMALL_LETTERS)
    top = 0.3 + LINE_IN * len(head) + 0.24
    bottom = 0.55 + 0.18 * len(foot)
    height = top + height_in + bottom
    figure = Figure(figsize=(WIDTH_IN, height), facecolor=PAPER)
    FigureCanvasAgg(figure)
    x = MARGIN_IN / WIDTH_IN
    figure.text(x, 1.0 - 0.24 / height, "\n".join(head), ha="left", va="top", fontsize=11.5, linespacing=1.35)
    figure.text(
        x, 0.16 / height, "\n".join(foot), ha="left", va="bottom", fontsize=8.0, color=INK, linespacing=1.35
    )
    return figure, (x, bottom / height, 1.0 - x - 0.35 / WIDTH_IN, height_in / height)


def instead(why: str) -> Figure:
    """Return the picture that says why there is nothing to show yet and what to do."""
    figure, _ = page(why, 0.2)
    return figure


def degree_scale(axes: Axes, *, signed: bool) -> None:
    """Put a vertical scale in degrees Celsius on the left, as on a thermometer."""
    axes.yaxis.set_major_locator(MaxNLocator(nbins=8, steps=[1, 2, 5, 10], integer=not signed))

    def label(value: float, _position: int) -> str:
        digits = 0 if math.isclose(value, round(value), abs_tol=1e-6) else 1
        return phrases.number(value, digits, signed=signed)

    axes.yaxis.set_major_formatter(FuncFormatter(label))
    axes.annotate(
        wording.UNIT_ABOVE_SCALE, (0.0, 1.0), xycoords="axes fraction", xytext=(-4, 6),
        textcoords="offset points", ha="right", va="bottom", fontsize=8.5,
    )  # fmt: skip


def stripe(axes: Axes, middle: float, wide: float, low: float, high: float) -> None:
    """Draw what an instrument promises as a stripe; thin ends keep it on a copier."""
    left = middle - wide / 2
    axes.add_patch(Rectangle((left, low), wide, high - low, color=STRIPE, linewidth=0.0, zorder=0))
    axes.hlines([low, high], left, left + wide, color=FAINT, linewidth=0.4, zorder=0.6)


def lane_names(axes: Axes, names: Sequence[str]) -> None:
    """Write each lane's name under it, aslant where they would touch, instead of a horizontal axis."""
    axes.spines["bottom"].set_visible(False)
    axes.tick_params(axis="x", length=0)
    axes.set_xticks(range(len(names)), list(names))
    wide_in = axes.get_position().width * WIDTH_IN / abs(axes.get_xlim()[1] - axes.get_xlim()[0])
    if max((len(name) for name in names), default=0) * LETTER_IN > wide_in:
        for label in axes.get_xticklabels():
            label.set(rotation=35, horizontalalignment="right", rotation_mode="anchor")


def save(figure: Figure, path: Path, title: str) -> None:
    """Write a picture as PNG or SVG by the suffix; equal pictures give equal SVG files."""
    with _styled():
        if path.suffix == ".svg":
            figure.savefig(path, metadata={"Title": title, "Date": None, "Creator": None})
        else:
            figure.savefig(path, dpi=PNG_DPI, metadata={"Title": title, "Software": None})
