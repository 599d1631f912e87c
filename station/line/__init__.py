"""The serial line: bytes become samples or rejected lines, with the right time."""
