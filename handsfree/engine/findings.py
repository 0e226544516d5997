"""Findings: what could not be done, or is not as it should be, until a second person closes it."""

from dataclasses import dataclass
from enum import Enum


class Category(Enum):
    """What stands in the way. The value is how it is said."""

    PART = "part"
    TOOL = "tool"
    DATA = "data"
    ACCESS = "access"
    CONDITION = "condition"
    OTHER = "other"


@dataclass(frozen=True, slots=True)
class Finding:
    """One finding. It has a number because people must be able to say which one they mean."""

    number: int  # from 1, in the order in which they were opened
    step: str
    category: Category
    remark: str  # as a listener wrote it down; the clip is what counts
    by: str | None  # the staff number of who raised it; None: nobody was identified
