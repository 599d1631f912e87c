"""Readings against the reference: error, band, verdict, team and thermometer effects, class value."""
