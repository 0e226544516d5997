"""A supervisor's word on a record: an entry that is signed, appended and sealed; never an edit."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import timedelta
from pathlib import Path

from handsfree.errors import HandsfreeError
from handsfree.record.chain import read_chain
from handsfree.record.entries import LOG, LoggedEntry, read_entries, read_entry
from handsfree.record.files import Files
from handsfree.record.keys import Keys
from handsfree.record.log import UtcClock
from handsfree.record.marks import Reviewed, TailCut
from handsfree.record.record import Record
from handsfree.record.repair import RecordDamaged
from handsfree.record.replay import replay
from handsfree.record.seal import SEAL, read_seals
from handsfree.record.summary import summarise
from handsfree.record.time_stamp import TIME_STAMP, refuse_to_lose_time_stamp
from handsfree.record.took_part import took_part
from handsfree.record.trusted import Trusted
from handsfree.record.values import kind_named
from handsfree.record.verify import NO_END, Problem, Stage, Verified, verify
from handsfree.record.vouching import NO_TRUSTED_SEAL, NOBODY_VOUCHES
from handsfree.task.model import Task
from handsfree.words.seen import is_seen

LONGEST = 2000
"""Characters of a remark: what is longer is a report of its own, which a remark can name."""


class ReviewRefused(HandsfreeError):
    """The word cannot be given so."""

    def __init__(self, folder: Path, why: str, instead: str) -> None:
        super().__init__(f"{folder}: {why}. {instead}. Nothing was written.")


class WordUnfit(HandsfreeError):
    """The remark or the role cannot stand on a record."""

    exit_code = 2

    def __init__(self, what: str) -> None:
        super().__init__(
            f"review: the {what} is empty, longer than {LONGEST} characters, or has what cannot be "
            "seen. Write it in one line."
        )


@dataclass(frozen=True, slots=True)
class Word:
    """What a supervisor says of a record."""

    accepted: bool
    remark: str
    role: str = "supervisor"

    def __post_init__(self) -> None:
        for what, text in (("remark", self.remark), ("role", self.role)):
            if not text.strip() or len(text) > LONGEST or not all(map(is_seen, text)):
                raise WordUnfit(what)


def review(
    folder: Path,
    task: Task,
    word: Word,
    keys: Keys,
    utc_now: UtcClock,
    trusted: Trusted | None = None,
    files: Files | None = None,
    roots: Path | None = None,
    replace_time_stamp: bool = False,
) -> Reviewed:
    """Put a supervisor's word at the end of a record, signed, and seal it; what was written.

    To accept, the record must verify, by the keys that are `trusted` where there is such a list, be
    finished, be no trial and replay to the same decisions. To reject, it only has to be possible to
    append to it. A time stamp goes only where it may be replaced, and then the record must verify
    without it too; `roots` is as for `verify`. If the program dies between the entry and its seal,
    the word does not count, and the same call seals it. Raises ReviewRefused, TimeStampInTheWay,
    RecordInUse, RecordNotWritten, and what `verify` and `Record.go_on` raise.
    """
    found = verify(folder, None, roots, trusted)
    head = read_chain(folder).head
    entries = tuple(read_entries(folder))
    if not entries:
        raise ReviewRefused(folder, "there is nothing on it to judge", "Have the task done")
    if word.accepted:
        _refuse_to_accept(folder, task, entries, _but_for_our_own(found, len(entries), keys), head)
    is_stamped = (folder / TIME_STAMP).exists()
    refuse_to_lose_time_stamp(folder, replace_time_stamp)
    if word.accepted and is_stamped and roots is not None:
        # What only a time stamp makes believed would not be, when it is gone.
        bare = _but_for_our_own(verify(folder, None, None, trusted), len(entries), keys)
        _refuse_to_accept(folder, task, entries, bare, head)
    try:
        record = Record.go_on(folder, utc_now, lambda: timedelta(0), keys, files)
    except RecordDamaged as error:
        raise ReviewRefused(
            folder,
            "its log is damaged, so no word can be put at its end, and none can be believed there",
            "Keep it as it is: whoever verifies it or opens its page is told not to trust it",
        ) from error
    with record:
        if found.entries != len(entries) or not _is_as_it_was(folder, len(entries), head):
            raise ReviewRefused(folder, "it was changed a moment ago", "Look at it again")
        names = {keys.name, *(each.by for each in read_seals(folder) if each.key == keys.public)}
        owner = None if trusted is None else trusted.of(keys.public)
        if owner is not None:
            names.add(owner.name)
        said = Reviewed(
            by=keys.name,
            key=keys.public,
            role=word.role,
            accepted=word.accepted,
            remark=word.remark,
            took_part=took_part(entries).of(names),
        )
        if not _is_said_already(said, found, len(entries)):  # else at most its seal is missing
            record.append_word(said)
        record.seal_afterwards()
    return said


def _is_as_it_was(folder: Path, entries: int, head: str) -> bool:
    """Whether nothing came to what was read, but for what going on with it has told of itself."""
    now = read_chain(folder, {entries: head})
    if now.heads.get(entries) != head:
        return False
    added = now.entries - entries
    return not added or (added == 1 and read_entry(now.last, entries).kind == kind_named(TailCut))


def _is_said_already(said: Reviewed, found: Verified, entries: int) -> bool:
    """Whether the last entry is this very word, signed."""
    return any(
        each.signed and each.entry == entries - 1 and replace(each.said, signature="") == said
        for each in found.reviews
    )


def _refuse_to_accept(
    folder: Path, task: Task, entries: tuple[LoggedEntry, ...], found: Verified, head: str
) -> None:
    if found.problems:
        raise ReviewRefused(
            folder,
            f"it does not verify ({found.problems[0]}), so it cannot be accepted",
            "Find out why, or reject it",
        )
    if found.stage is Stage.BEING_WRITTEN:
        raise ReviewRefused(folder, "it is still being written", "Wait until the run ends")
    differences = sum(len(turn.differences) for turn in replay(task, entries))
    why = summarise(task, entries, found, head, differences).why_unacceptable
    if why:
        raise ReviewRefused(
            folder,
            f"it cannot be accepted: {', and '.join(why)}",
            "Have the task gone on with or done anew, or reject it",
        )


def _but_for_our_own(found: Verified, entries: int, keys: Keys) -> Verified:
    return replace(found, problems=tuple(_not_our_own(found, entries, keys)))


def _not_our_own(found: Verified, entries: int, keys: Keys) -> Iterator[Problem]:
    """What is wrong, but for what an earlier call that died has left: it is mended by this one.

    That is a word that this key has signed and that lacks its seal, or half a line of one.
    """
    covered = max((seal.entries for seal in found.seals), default=0)
    own = {each.entry for each in found.reviews if each.signed and each.said.key == keys.public}
    left = range(covered, entries)
    excused = {(f"{LOG}, entry {entries}", NO_END)} if set(left) <= own else set()
    if left and set(left) <= own:
        excused |= {
            (f"{SEAL}, entry {covered}", NOBODY_VOUCHES),
            (f"{SEAL}, entries {covered} to {entries - 1}", NO_TRUSTED_SEAL),
        }
    for each in found.problems:
        is_excused = any(each.where == at and each.what.startswith(why) for at, why in excused)
        if not covered or not is_excused:
            yield each
