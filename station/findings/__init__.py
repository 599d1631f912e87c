"""Whose error is it: causes of single readings, habits of teams, thermometers, batches, the clock."""
