"""A supervisor's word on a record: an entry that is appended and sealed, never an edit."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import timedelta
from pathlib import Path

from handsfree.engine.entries import FindingClosed, PersonIdentified
from handsfree.errors import HandsfreeError
from handsfree.record.chain import read_chain
from handsfree.record.entries import LOG, LoggedEntry, read_entries
from handsfree.record.files import Files
from handsfree.record.keys import Keys
from handsfree.record.log import UtcClock
from handsfree.record.marks import RecordOpened, Resumed, Reviewed
from handsfree.record.record import Record
from handsfree.record.repair import RecordDamaged
from handsfree.record.replay import replay
from handsfree.record.seal import SEAL, read_seals
from handsfree.record.summary import summarise
from handsfree.record.trusted import Trusted
from handsfree.record.verify import Problem, Stage, Verified, verify
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
) -> Reviewed:
    """Put a supervisor's word at the end of a record and seal it; what was written.

    To accept, the record must verify, by the keys that are `trusted` where there is such a list, be
    finished, be no trial and replay to the same decisions. To reject, it only has to be possible to
    append to it. If the program dies between the entry and its seal, the word does not count, and
    the same call seals it. Raises ReviewRefused, RecordInUse, RecordNotWritten,
    and what `verify` and `Record.go_on` raise.
    """
    found = verify(folder, None, None, trusted)
    head = read_chain(folder).head
    entries = tuple(read_entries(folder))
    if word.accepted:
        judged = replace(found, problems=tuple(_not_our_own(found, len(entries), keys)))
        _refuse_to_accept(folder, task, entries, judged, head)
    try:
        record = Record.go_on(folder, utc_now, lambda: timedelta(0), keys, files)
    except RecordDamaged as error:
        raise ReviewRefused(
            folder,
            "its log is damaged, so no word can be put at its end, and none can be believed there",
            "Keep it as it is: whoever verifies it or opens its page is told not to trust it",
        ) from error
    with record:
        now = read_chain(folder, {len(entries): head})
        if now.heads.get(len(entries)) != head or now.worked_to >= len(entries):
            raise ReviewRefused(folder, "it was changed a moment ago", "Look at it again")
        names = {keys.name, *(each.by for each in read_seals(folder) if each.key == keys.public)}
        said = Reviewed(
            by=keys.name,
            key=keys.public,
            role=word.role,
            accepted=word.accepted,
            remark=word.remark,
            took_part=tuple(dict.fromkeys(_took_part(entries, names))),
        )
        if entries[-1].value != said:  # else it was said already, and at most its seal is missing
            record.append(said)
        record.seal()
    return said


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


def _not_our_own(found: Verified, entries: int, keys: Keys) -> Iterator[Problem]:
    """What is wrong, but for what an earlier call that died has left: it is mended by this one.

    That is a word of the same key that lacks its seal, or half a line of one.
    """
    covered = max((seal.entries for seal in found.seals), default=0)
    own = {each.entry for each in found.reviews if each.said.key == keys.public}
    left = range(covered, entries)
    excused = {f"{LOG}, entry {entries}"}
    if set(left) <= own:
        excused |= {f"{SEAL}, entry {entry}" for entry in left}
        excused |= {f"{SEAL}, entries {covered} to {entries - 1}"}
    for each in found.problems:
        if not covered or each.where not in excused:
            yield each


def _took_part(entries: Iterable[LoggedEntry], names: Iterable[str]) -> Iterator[str]:
    """What shows that the owner of a key, by any of its names, worked on the record.

    By name, for that is all that key and roster have in common: who is called otherwise in one of
    them is not found out.
    """
    own = {_plain(name) for name in names}
    for each in entries:
        match each.value:
            case RecordOpened(by=str(by)) if _plain(by) in own:
                yield "began the run with this name on the key"
            case Resumed(by=str(by)) if _plain(by) in own:
                yield "went on with the run with this name on the key"
            case PersonIdentified(role, number, name) if _plain(name) in own:
                yield f"{role.value} ({number})"
            case FindingClosed(number, by, name) if _plain(name) in own:
                yield f"closed finding {number}"


def _plain(name: str) -> str:
    return " ".join(name.split()).casefold()
