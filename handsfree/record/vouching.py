"""Who vouches for a record: whether its seals hold, and which of its entries they cover.

`wrong` gives for each seal of the record what is wrong with it, and `holding` are those that hold.
"""

from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime
from pathlib import Path

from handsfree.record.chain import Chain
from handsfree.record.entries import LOG
from handsfree.record.reviews import Review
from handsfree.record.seal import SEAL, Seal, SealUnreadable, newest, read_seals
from handsfree.record.trusted import Trusted
from handsfree.record.verified import Problem

# What is wrong with entries at the end that are not sealed, or not yet.
NOBODY_VOUCHES = "nobody vouches for this entry and those after it"
NO_TRUSTED_SEAL = "no seal that you trust covers them"

_FOLLOWS = "it is over entries that do not hang together"  # told with the first of those


def seals_of(folder: Path) -> tuple[tuple[Seal, ...], tuple[Problem, ...]]:
    """The seals of a record, or what is wrong with the file that holds them."""
    try:
        return read_seals(folder), ()
    except SealUnreadable as error:
        return (), (Problem(SEAL, str(error).rstrip(".")),)


def wrong_with_seal(seal: Seal, chain: Chain) -> str | None:
    """What is wrong with a seal; None: it holds."""
    if not seal.holds:
        return "its signature is not that of its key"
    if chain.broken is not None and seal.entries > chain.broken.entry:
        return _FOLLOWS
    if seal.entries > chain.entries:
        return f"it covers {seal.entries} entries, and {chain.entries} hang together"
    if chain.heads.get(seal.entries) != seal.head:
        return "it is over another log"
    return None


def check_seals(
    wrong: Mapping[Seal, str | None],
    holding: tuple[Seal, ...],
    chain: Chain,
    is_written: bool,
) -> Iterator[Problem]:
    """What is wrong with the seals, and where they leave the record without one."""
    told = set[tuple[str, str]]()
    for seal, what in wrong.items():
        if what is not None and what != _FOLLOWS and (seal.key, what) not in told:
            told.add((seal.key, what))
            # The last entry that it covers, or the first that it covers and that is not there.
            where = min(max(seal.entries - 1, 0), chain.entries)
            yield Problem(f"{SEAL}, entry {where}", f"the seal of {seal.by}: {what}")
    covered = max((seal.entries for seal in holding), default=0)
    if not wrong:
        yield Problem(
            f"{SEAL}, entry 0",
            "there is no seal, so nobody vouches for the record; 'handsfree seal' makes one",
        )
    elif covered < chain.entries and holding and not _is_told(wrong, holding, chain, is_written):
        yield Problem(
            f"{SEAL}, entry {covered}",
            f"{NOBODY_VOUCHES}; go on with the task, or seal it",
        )


def _is_told(
    wrong: Mapping[Seal, str | None], holding: tuple[Seal, ...], chain: Chain, is_written: bool
) -> bool:
    """Whether it was told already, or is no wonder, that no seal reaches the end."""
    covered = max((seal.entries for seal in holding), default=0)
    return (
        is_written
        or chain.broken is not None
        or any(what is not None and seal.entries > covered for seal, what in wrong.items())
    )


def check_key(
    wrong: Mapping[Seal, str | None], holding: tuple[Seal, ...], chain: Chain, key: str
) -> tuple[Problem, ...]:
    """Every entry must lie under a seal of this key, but for words at the end: see `_covers`."""
    if all(seal.key != key for seal in wrong):
        return (Problem(SEAL, f"it is not sealed with the key {key}"),)
    own = [seal for seal in holding if seal.key == key]
    if _covers(own, chain):
        return ()
    uncovered = _uncovered(wrong, holding, chain, own)
    return (
        () if uncovered is None else (Problem(uncovered, f"no seal of the key {key} covers them"),)
    )


def check_reviews(reviews: Iterable[Review]) -> Iterator[Problem]:
    """Every supervisor's word must be signed, for the place where it stands."""
    for each in sorted(reviews, key=lambda review: review.entry):
        if not each.signed:
            yield Problem(
                f"{LOG}, entry {each.entry}",
                f"a word in the name of {each.said.by} is not signed with the key that it names "
                "for this place: somebody else put it there, or it was changed",
            )


def check_trust(
    wrong: Mapping[Seal, str | None],
    holding: tuple[Seal, ...],
    chain: Chain,
    trusted: Trusted,
    stamped: datetime | None,
) -> tuple[Problem, ...]:
    """Every entry must lie under a seal that is believed, but for words at the end: `_covers`."""
    why_not = {seal: trusted.why_not(seal, stamped) for seal in holding}
    believed = [seal for seal in holding if why_not[seal] is None]
    if _covers(believed, chain):
        return ()
    uncovered = _uncovered(wrong, holding, chain, believed)
    if uncovered is None:
        return ()
    furthest = max((seal.entries for seal in believed), default=0)
    doubted = [
        f"the seal of {seal.by}: {why_not[seal]}"
        for seal in newest(holding)
        if seal.entries > furthest and why_not[seal] is not None
    ]
    whose = f" ({'; '.join(doubted)})" if doubted else ""
    return (Problem(uncovered, f"{NO_TRUSTED_SEAL}{whose}"),)


def _covers(seals: Iterable[Seal], chain: Chain) -> bool:
    """Whether one of these seals is over all that anybody did to the record.

    The words of others after it change nothing of that. They count or not by their own signature,
    and must lie under some seal that holds, like all else.
    """
    return max((seal.entries for seal in seals), default=0) > chain.changed_to


def _uncovered(
    wrong: Mapping[Seal, str | None],
    holding: tuple[Seal, ...],
    chain: Chain,
    believed: list[Seal],
) -> str | None:
    """Which entries none of the seals that are believed covers; None: all, or it was told.

    Whoever has another key, of any name, could have gone on from the last that is believed.
    """
    covered = max((seal.entries for seal in believed), default=0)
    if covered >= chain.entries or not wrong:
        return None
    if _is_told(wrong, holding, chain, is_written=False) and (believed or not holding):
        return None
    return f"{SEAL}, entries {covered} to {chain.entries - 1}"
