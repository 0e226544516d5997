"""`python3 demo`: set up what the demo needs, and hold a whole task by voice on sound.

Standard library only, until the environment is there.
"""

import subprocess
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from handsfree.environment import ROOT, python_with


def main() -> int:
    """Play the demo in the project's environment; its exit status, 0 if the task was finished."""
    python = python_with("natural-voice")
    return subprocess.call([python, "-m", "demo.play", *sys.argv[1:]], cwd=ROOT)


if __name__ == "__main__":
    raise SystemExit(main())
