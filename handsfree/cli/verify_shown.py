"""What `verify` found, for a person and for a program."""

import json
from collections.abc import Iterator
from pathlib import Path

from handsfree.errors import HandsfreeError
from handsfree.record.entries import LOG, NoRecord
from handsfree.record.reviews import told_of
from handsfree.record.trusted import TrustedKey
from handsfree.record.verify import Verified
from handsfree.visible import escaped


def told_at_length(record: Path, found: Verified) -> Iterator[str]:
    """Every note and every problem on a line of its own; how it stands, where there is none."""
    for review in found.reviews:
        yield escaped(f"review of {review.utc}: {' '.join(told_of(review))}")
    yield from (escaped(f"note: {note}") for note in found.notes)
    if found.problems:
        yield from (escaped(str(problem)) for problem in found.problems)
        return
    removed = f", {found.removed} removed" if found.removed else ""
    yield escaped(
        f"{record}: {found.entries} entries, {found.clips} clips{removed}, all as written."
    )
    for at, seal in enumerate(found.seals):
        whose = "" if found.owners is None else f", {_owner(found.owners[at])}"
        yield escaped(
            f"sealed by {seal.by} at {seal.utc}, entries 0 to {seal.entries - 1}, "
            f"key {seal.key}{whose}"
        )
    if found.stamped is not None:
        yield f"an authority saw the seal at {found.stamped.isoformat()}"
    yield escaped(", ".join(_standing(found)))


def told_in_a_line(record: Path, found: Verified | HandsfreeError) -> str:
    """One line about a record: its verdict, the first problem, and how many more there are."""
    if isinstance(found, HandsfreeError):
        return escaped(str(found))
    standing = ", ".join(_standing(found))
    if not found.problems:
        return escaped(f"{record}: all as written, {found.entries} entries, {standing}")
    if any(problem.where.startswith(LOG) for problem in found.problems):
        standing = f"{found.entries} entries hang together"  # how it ended cannot be said
    more = len(found.problems) - 1
    others = f" And {more} more." if more else ""
    return escaped(f"{record}: NOT IN ORDER, {standing}: {found.problems[0]}{others}")


def told_to_a_program(record: Path, found: Verified | HandsfreeError) -> str:
    """What was found about a record, as one JSON object on one line."""
    if isinstance(found, HandsfreeError):
        told = {"record": str(record), "verdict": "not read", "error": str(found)}
        return json.dumps(told)
    return json.dumps(
        {
            "record": str(record),
            "verdict": "not in order" if found.problems else "all as written",
            "stage": found.stage.value,
            "entries": found.entries,
            "clips": found.clips,
            "clips_redacted": found.removed,
            "seals": [
                {
                    "by": seal.by,
                    "key": seal.key,
                    "last_entry": seal.entries - 1,
                    "utc": seal.utc,
                    "owner": _owner_for_a_program(found, at),
                }
                for at, seal in enumerate(found.seals)
            ],
            "reviews": [
                {
                    "by": review.by,
                    "role": review.role,
                    "stated_by": review.said.by,
                    "stated_role": review.said.role,
                    "key": review.said.key,
                    "verdict": review.verdict,
                    "remark": review.said.remark,
                    "utc": review.utc,
                    "entry": review.entry,
                    "took_part": list(review.took_part),
                    "removed_since": review.removed_since,
                    "counts": review.counts,
                    "why_not": review.why_not,
                }
                for review in found.reviews
            ],
            "trusted_list": found.owners is not None,
            "stamped": None if found.stamped is None else found.stamped.isoformat(),
            "without_key_until": found.keyless_until,
            "problems": [
                {
                    "where": problem.where,
                    "what": problem.what,
                    "entries_after": problem.entries_after,
                    "seals_after": problem.seals_after,
                }
                for problem in found.problems
            ],
            "notes": list(found.notes),
        }
    )


def exit_code(found: list[Verified | HandsfreeError]) -> int:
    """0: all as written; 1: something is wrong with one; 2: nothing is, but one is no record."""
    wrong = [
        not isinstance(each, NoRecord) if isinstance(each, HandsfreeError) else bool(each.problems)
        for each in found
    ]
    if any(wrong):
        return 1
    return 2 if any(isinstance(each, NoRecord) for each in found) else 0


def _owner(owner: TrustedKey | None) -> str:
    return "which you do not trust" if owner is None else f"{owner.role}, in your list"


def _owner_for_a_program(found: Verified, at: int) -> dict[str, str] | None:
    owner = None if found.owners is None else found.owners[at]
    return None if owner is None else {"name": owner.name, "role": owner.role}


def _standing(found: Verified) -> Iterator[str]:
    if found.word is not None:
        yield found.word.in_a_line
    yield found.stage.value
    seal = found.sealed
    yield "not sealed" if seal is None else f"sealed to entry {seal.entries - 1} by {seal.by}"
    if found.removed:
        yield f"{found.removed} {'clip' if found.removed == 1 else 'clips'} redacted"
    if found.keyless_until is not None:
        yield f"opened without a key until entry {found.keyless_until}"
