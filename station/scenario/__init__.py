"""Invented classes with a known truth: weather, probe, pupils and their slips, played into frames.

Used by ``station demo``, by the benches and by tests. No published rates of pupils' misreadings by kind
were found, so every rate here is invented.
"""
