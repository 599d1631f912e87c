"""What all tests share."""

from hypothesis import settings

# A busy machine must not fail a property by its clock.
settings.register_profile("unhurried", deadline=None)
settings.load_profile("unhurried")
