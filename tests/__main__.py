"""`python3 tests`: set up what the tests need, and pass them. Further words go to pytest."""

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
    return subprocess.call([python, "-m", "pytest", *sys.argv[1:]], cwd=ROOT)


if __name__ == "__main__":
    raise SystemExit(main())
