"""What all tests share."""

from hypothesis import settings

# No test fails for being slow: benchmarks measure, and this machine may be busy.
settings.register_profile("handsfree", deadline=None)
settings.load_profile("handsfree")
