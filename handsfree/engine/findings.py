"""Findings: what could not be done, or is not as it should be, until a second person closes it."""

from dataclasses import dataclass, replace
from enum import Enum


class Category(Enum):
    """What stands in the way. The value is what stands on the record."""

    PART = "part"
    TOOL = "tool"
    DATA = "data"
    ACCESS = "access"
    CONDITION = "condition"
    OTHER = "other"

    @property
    def said(self) -> str:
        """How it is asked for. A lone "other" is "no", "good" or nothing, by some voices."""
        return "other reason" if self is Category.OTHER else self.value

    @property
    def spellings(self) -> tuple[str, ...]:
        """Every way to say it."""
        return tuple(dict.fromkeys((self.said, self.value)))


CATEGORY_SAID = {spelling: each for each in Category for spelling in each.spellings}


@dataclass(frozen=True, slots=True)
class Finding:
    """One finding. It has a number because people must be able to say which one they mean."""

    number: int  # from 1, in the order in which they were opened
    step: str
    category: Category
    remark: str  # as a listener wrote it down; the clip is what counts
    by: str | None  # the staff number of who raised it; None: nobody was identified


@dataclass(frozen=True, slots=True)
class Findings:
    """The findings of a run."""

    open: tuple[Finding, ...] = ()
    opened: int = 0  # closed ones too

    def numbered(self, number: int) -> Finding | None:
        """The open finding of this number."""
        return next((each for each in self.open if each.number == number), None)

    def with_new(
        self, step: str, category: Category, remark: str, by: str | None
    ) -> "tuple[Findings, Finding]":
        """One finding more, under the next number, and that finding."""
        finding = Finding(self.opened + 1, step, category, remark, by)
        return Findings((*self.open, finding), finding.number), finding

    def changed(self, finding: Finding) -> "Findings":
        """All findings, with `finding` in place of the open one of its number."""
        still_open = (finding if each.number == finding.number else each for each in self.open)
        return replace(self, open=tuple(still_open))

    def without(self, number: int) -> "Findings":
        """All findings but the one of this number, which is closed."""
        return replace(self, open=tuple(each for each in self.open if each.number != number))
