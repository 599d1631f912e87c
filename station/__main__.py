"""``python -m station`` is the same as the command ``station``."""

from station.cli import main

main()
