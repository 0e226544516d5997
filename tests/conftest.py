"""What all tests share."""

import os

from hypothesis import settings

# Several processes share the processor: in each, threads of the matrix library that wait for one
# another would take twice the time of one. Read when NumPy is imported first, here and in all that
# a test starts.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

# No test fails for being slow: benchmarks measure, and this machine may be busy.
# What is drawn follows from the test alone, so that equal code gets equal verdicts. `.ci/run` draws
# six times as many (see `how_many.py`). To look for what no one thought of,
# `HYPOTHESIS_PROFILE=explore python3 tests` draws anew each time.
settings.register_profile("handsfree", deadline=None, derandomize=True, max_examples=16)
settings.register_profile("all", deadline=None, derandomize=True)
settings.register_profile("explore", deadline=None, derandomize=False)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "handsfree"))
