"""What supervisors said of a record: each of them, the latest first, and whether it counts.

A word counts where a seal of the key that it names covers it. Anybody who has the folder and a key
of their own could write an entry in another's name; no seal of that other would be over it.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from handsfree.record.chain import Chain
from handsfree.record.marks import Reviewed
from handsfree.record.seal import Seal
from handsfree.record.trusted import TrustedKey


@dataclass(frozen=True, slots=True)
class Review:
    """One supervisor's word."""

    entry: int
    utc: str
    said: Reviewed
    sealed: bool  # with the key that it names
    owner: TrustedKey | None  # of that key; None: it is not believed, or no list was asked
    list_was_asked: bool
    went_on: bool  # the task was gone on with after it, so it is not about all that is there

    @property
    def counts(self) -> bool:
        """Whether it is that person's word on this record as it stands."""
        believed = self.owner is not None or not self.list_was_asked
        return self.sealed and believed and not self.went_on

    @property
    def verdict(self) -> str:
        """In one word."""
        return "accepted" if self.said.accepted else "rejected"

    @property
    def why_not(self) -> str:
        """Why it does not count; "" where it does."""
        if not self.sealed:
            return "it is not sealed with the key that it names"
        if self.list_was_asked and self.owner is None:
            return "you do not trust its key"
        return "the task was gone on with after it" if self.went_on else ""


def reviews_of(
    chain: Chain,
    holding: Iterable[Seal],
    owners: Iterable[TrustedKey | None] | None,
) -> tuple[Review, ...]:
    """All of them, the latest first.

    `holding` are the seals that hold; `owners` whose keys are believed, None where no list was
    asked.
    """
    believed = None if owners is None else {each.key: each for each in owners if each is not None}
    furthest: dict[str, int] = {}
    for seal in holding:
        furthest[seal.key] = max(furthest.get(seal.key, 0), seal.entries)
    return tuple(
        Review(
            entry=entry,
            utc=utc,
            said=said,
            sealed=furthest.get(said.key, 0) > entry,
            owner=None if believed is None else believed.get(said.key),
            list_was_asked=believed is not None,
            went_on=chain.worked_to > entry,
        )
        for entry, utc, said in reversed(chain.reviews)
    )


def told_of(review: Review) -> Iterator[str]:
    """The word, then what is to be known of it: for a summary, a page and a terminal alike."""
    said = review.said
    whose = f"key {said.key[:16]}"
    if review.owner is not None:
        whose = f"{review.owner.role} in your list"
    yield f"{review.verdict.upper()} by {said.by}, {said.role} ({whose}): “{said.remark}”."
    if not review.counts:
        yield f"This word does not count: {review.why_not}."
    elif not review.list_was_asked:
        yield "Compare the key with the one that its owner gave you."
    if said.took_part:
        yield f"{said.by} judges their own work: {', '.join(said.took_part)}."
