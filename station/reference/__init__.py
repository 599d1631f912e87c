"""What the probe's record is worth, and the reference value at a time."""
