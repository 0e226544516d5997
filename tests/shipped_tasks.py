"""The files that come with handsfree in tasks/: the tasks, and the roster beside one of them."""

from pathlib import Path

FOLDER = Path(__file__).parents[1] / "tasks"
ROSTER = FOLDER / "door-slide-roster.yaml"
TASKS = sorted(path for path in FOLDER.glob("*.yaml") if path != ROSTER)
