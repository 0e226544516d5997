"""Names within a task file, made from other names."""

import re


def as_identifier(text: str) -> str:
    """`text` as a name of lower case letters, figures and hyphens; "" where none is in it."""
    name = re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-")
    return f"task-{name}" if name[:1].isdigit() else name
