"""Rows of a frame as plain mappings by column."""

from __future__ import annotations

from typing import Any

import pandas as pd


def rows(frame: pd.DataFrame) -> list[dict[str, Any]]:
    """Return each row as a mapping from the column's name to its value."""
    names = [str(name) for name in frame.columns]
    return [dict(zip(names, row, strict=True)) for row in frame.itertuples(index=False, name=None)]
