"""The teacher's cross-check for a class that measures outdoor air temperature.

Public surface, resolved on first use so that ``import station`` stays light:

``open(path)``
    A recording (a folder) or a book (one file) as a ``Recording``.
``cross_check(recording)``
    The whole comparison as an ``Assessment`` whose tables are pandas frames.
``survey_site(recording)``
    Sun and shade of the place as ``Places``, whose surveys hold pandas frames.
"""

from __future__ import annotations

from importlib import import_module
from typing import Any

_PUBLIC = {
    "open": ("station.source", "open"),
    "cross_check": ("station.source", "cross_check"),
    "survey_site": ("station.source", "survey_site"),
}

__all__ = ["cross_check", "open", "survey_site"]
__version__ = "0.1.0"


def __getattr__(name: str) -> Any:
    """Import the module behind a public name when it is first asked for."""
    if name in _PUBLIC:
        module, attribute = _PUBLIC[name]
        return getattr(import_module(module), attribute)
    raise AttributeError(f"module 'station' has no attribute {name!r}")


def __dir__() -> list[str]:
    """List the public names for completion in a shell."""
    return sorted([*globals(), *_PUBLIC])
