"""What all tests share."""

import os

import pytest
from hypothesis import settings

# A busy machine must not fail a property by its clock.
settings.register_profile("unhurried", deadline=None)
settings.load_profile("unhurried")

# What is printed is as wide as it likes; a worker of the tests has been given a terminal's width.
os.environ.pop("COLUMNS", None)


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int | None:
    """One process where prints are to be seen as they come (``-s``): a soak, a benchmark."""
    return 0 if config.option.capture == "no" else None
