"""What all tests share."""

import os

from hypothesis import settings

# No test fails for being slow: benchmarks measure, and this machine may be busy.
# What is drawn follows from the test alone, so that equal code gets equal verdicts. To look for
# what no one thought of, `HYPOTHESIS_PROFILE=explore python3 tests` draws anew each time.
settings.register_profile("handsfree", deadline=None, derandomize=True)
settings.register_profile("explore", deadline=None, derandomize=False)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "handsfree"))
