"""Open points: what an author must still settle before a draft is a task."""

from typing import Annotated

from pydantic import AfterValidator

from handsfree.task.file_model import Texts, wrong


def _settled(points: tuple[str, ...]) -> tuple[str, ...]:
    """Refuse a draft. Every `Task` comes through here, so no draft can be run."""
    if points:
        raise wrong(f"still a draft, to do: {'; '.join(points)}", "Do it, then delete this 'todo'")
    return points


OpenPoints = Annotated[Texts, AfterValidator(_settled)]
