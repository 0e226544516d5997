"""Kill a run 300 times: `python -m tests.benchmarks.kills`; prints a block for RESULTS.md."""

import sys

from tests.record import kills


def main() -> None:
    """Kill, and print what was counted."""
    sys.argv[1:] = sys.argv[1:] or ["300"]
    kills.main()


if __name__ == "__main__":
    main()
