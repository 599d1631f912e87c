"""Does the place stay shaded: sun on the probe, openings in the sky, coming sessions."""
