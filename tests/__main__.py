"""`python3 tests`: set up what the tests need, and pass them. Further words go to pytest.

Two processes share the files of tests; `python3 tests -n 0` runs all in one, as a debugger needs.
"""

import os
import shutil
import subprocess
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from handsfree.environment import ROOT, python_with


def main() -> int:
    """Run pytest in the project's environment; its exit status, 0 if all passed."""
    # Playwright is large, and without a browser it tests nothing.
    browser = ["browser"] if shutil.which("chromium") else []
    python = python_with("natural-voice", "dev", "vosk-test", *browser)
    # By file, for what a file sets up once would else be set up in both. In their order, which ends
    # with many short files: else those of few tests come last, and some of them take longest.
    shared = ("-n", "2", "--dist", "loadfile", "--no-loadscope-reorder")
    # Hundreds of times a test starts the tool, which is not to be compiled anew each time.
    surroundings = {**os.environ}
    surroundings.pop("PYTHONDONTWRITEBYTECODE", None)
    command = [str(python), "-m", "pytest", *shared, *sys.argv[1:]]
    return subprocess.call(command, cwd=ROOT, env=surroundings)


if __name__ == "__main__":
    raise SystemExit(main())
