"""What supervisors said of a record: each of them, the latest first, and whether it counts.

A word is that of a key where it is signed by it for just its place, and that of a person where the
key is believed to be theirs. Their name and role are those of the list of trusted keys, where one
was asked, never those that the word itself gives; and whether they took part in the work is read
from the record.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from handsfree.record.chain import Chain
from handsfree.record.marks import Reviewed
from handsfree.record.seal import Seal
from handsfree.record.signed_word import is_word_of
from handsfree.record.took_part import took_part_in
from handsfree.record.whose_word import Known, Whose


@dataclass(frozen=True, slots=True)
class Review:
    """One supervisor's word."""

    entry: int
    utc: str
    said: Reviewed
    signed: bool  # by the key that it names, for this place
    whose: Whose
    took_part: tuple[str, ...]  # what on the record shows that its owner did the work
    went_on: bool  # the task was gone on with after it, so it is not about all that is there
    removed_since: int  # clips whose sound was removed after it
    whole: bool = True  # the record verifies

    @property
    def by(self) -> str:
        """Whose word it is: by the list, where they are in it; else as they call themselves."""
        return self.said.by if self.whose.owner is None else self.whose.owner.name

    @property
    def role(self) -> str:
        """In what role, as `by`."""
        return self.said.role if self.whose.owner is None else self.whose.owner.role

    @property
    def is_theirs(self) -> bool:
        """Whether that person said it of this record, as far as can be told."""
        return self.signed and not self.whose.doubt

    @property
    def counts(self) -> bool:
        """Whether it is that person's word on this record as it stands.

        To go on with what was rejected does not take the rejection away.
        """
        return self.is_theirs and self.whole and not (self.went_on and self.said.accepted)

    @property
    def verdict(self) -> str:
        """In one word."""
        return "accepted" if self.said.accepted else "rejected"

    @property
    def in_a_line(self) -> str:
        """The verdict, and whose it is."""
        part = ", who took part in the work" if self.took_part else ""
        return f"{self.verdict} by {self.by}, {self.role}{part}"

    @property
    def why_not(self) -> str:
        """Why it does not count; "" where it does."""
        if not self.signed:
            return "it is not signed with the key that it names"
        if self.whose.doubt:
            return self.whose.doubt
        if self.went_on and self.said.accepted:
            return "the task was gone on with after it"
        return "" if self.whole else "the record does not verify"


def reviews_of(
    folder: Path, chain: Chain, holding: Iterable[Seal], known: Known
) -> tuple[Review, ...]:
    """All of them, the latest first, as if the record verified.

    `holding` are the seals that hold: they too name the owner of a key. Raises NoRecord or
    RecordUnreadable.
    """
    if not chain.reviews:
        return ()
    who_took_part = took_part_in(folder, chain.entries)
    names: dict[str, list[str]] = {}
    for seal in holding:
        names.setdefault(seal.key, []).append(seal.by)
    found = []
    for word in reversed(chain.reviews):
        said, whose = word.said, known.whose(word)
        called = [said.by, *names.get(said.key, ())]
        if whose.owner is not None:
            called.append(whose.owner.name)
        found.append(
            Review(
                entry=word.entry,
                utc=word.utc,
                said=said,
                signed=is_word_of(word.line, said.key),
                whose=whose,
                took_part=who_took_part.of(called),
                went_on=chain.worked_to > word.entry,
                removed_since=sum(count for at, count in chain.removals if at > word.entry),
            )
        )
    return tuple(found)


def standing_rejection(reviews: Iterable[Review]) -> Review | None:
    """The latest rejection that counts and was not lifted; `reviews` are the latest first.

    Only the key that rejected lifts it, by accepting all that is there; and not where its owner
    took part in the work, for nobody is the judge of their own.
    """
    lifted = set()
    for each in reviews:
        if not each.counts:
            continue
        if each.said.accepted:
            if not each.took_part:
                lifted.add(each.said.key)
        elif each.said.key not in lifted:
            return each
    return None


def told_of(review: Review) -> Iterator[str]:
    """The word, then what is to be known of it: for a summary, a page and a terminal alike."""
    said, owner = review.said, review.whose.owner
    whose = f"key {said.key[:16]}"
    if owner is not None:
        stated = "" if said.role == owner.role else f", as {said.role}"
        whose = f"in your list{stated}"
    yield f"{review.verdict.upper()} by {review.by}, {review.role} ({whose}): “{said.remark}”."
    if owner is not None and said.by != owner.name:
        yield f"It calls itself the word of “{said.by}”: its key is that of {owner.name}."
    if not review.counts:
        yield f"This word does not count: {review.why_not}."
    elif not review.whose.asked:
        yield "Compare the key with the one that its owner gave you."
    if review.is_theirs and review.went_on and not said.accepted:
        yield "The task was gone on with after this word."
    if review.removed_since:
        clips = "1 clip" if review.removed_since == 1 else f"{review.removed_since} clips"
        yield f"Sound was removed after this word ({clips})."
    if review.is_theirs and review.took_part:
        yield f"{review.by} judges their own work: {', '.join(review.took_part)}."
