"""The proof of a task: every way through it is walked."""
