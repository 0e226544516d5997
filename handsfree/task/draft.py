"""Open points: what an author must still settle before a draft is a task."""

from typing import Annotated

from pydantic import AfterValidator

from handsfree.task.file_model import Texts, wrong


def _settled(points: tuple[str, ...]) -> tuple[str, ...]:
    """A draft is refused here, in the one way into a `Task`, so that nothing can run it."""
    if points:
        raise wrong(f"still a draft, to do: {'; '.join(points)}", "Do it, then delete this 'todo'")
    return points


OpenPoints = Annotated[Texts, AfterValidator(_settled)]
