"""Whether a record is as it was written, and who vouches for it.

In this order, and each with the first entry that it is wrong at:

1. the log: every line is an entry, in its place, and holds the SHA-256 of the line before it;
2. the task file is the one that the record was opened with;
3. each clip that was heard is there, unchanged, unless it is on the log that it was removed;
4. each seal is signed by its key and is over this very log, and the newest covers it to its end;
   each supervisor's word is signed by the key that it names, for the place where it stands;
5. the time stamp, if there is one, is over the seal.

What only follows from an earlier finding is counted there and is no finding of its own: past a
damaged entry the log tells nothing that could be believed, neither of clips nor of seals.
"""

import fcntl
import hashlib
from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from handsfree.files.plain import open_plain, plain_bytes
from handsfree.record.chain import Chain, lines_in, read_chain
from handsfree.record.clips import SUFFIX, folder_of, path_of
from handsfree.record.entries import LOG, TASK
from handsfree.record.plain import refuse_what_is_not_plain
from handsfree.record.reviews import reviews_of
from handsfree.record.seal import SEAL, Seal, newest
from handsfree.record.time_stamp import TIME_STAMP, TimeStampWrong, check_time_stamp
from handsfree.record.trusted import Trusted
from handsfree.record.verified import Problem, Stage, Verified
from handsfree.record.vouching import (
    check_key,
    check_reviews,
    check_seals,
    check_trust,
    seals_of,
    wrong_with_seal,
)
from handsfree.record.whose_word import Known

__all__ = ["Problem", "Stage", "Verified", "verify"]

NO_END = "its line has no end"

_OWN = frozenset({LOG, TASK, SEAL, TIME_STAMP, "clips"})


def verify(
    folder: Path,
    key: str | None = None,
    roots: Path | None = None,
    trusted: Trusted | None = None,
) -> Verified:
    """Check a record from end to end; raises NotPlain, NoRecord or RecordUnreadable.

    `key` is the public key, in hexadecimal, that must have sealed it to its end; else one of those
    that are `trusted` must have; without either, any may have.
    `roots` is a PEM file with the certificates of authorities whose time stamps are trusted.
    """
    refuse_what_is_not_plain(folder)
    key = None if key is None else key.lower()
    is_written = _is_being_written(folder)
    seals, problems = seals_of(folder)
    chain = read_chain(folder, {seal.entries: seal.head for seal in seals})
    intact, clip_problems = _check_clips(folder, chain)
    wrong = {seal: wrong_with_seal(seal, chain) for seal in seals}
    holding = tuple(seal for seal in seals if wrong[seal] is None)
    is_readable = not problems
    if is_readable:
        problems = tuple(check_seals(wrong, holding, chain, is_written))
    stamped, stamp_problems = _check_time_stamp(folder, roots, bool(problems))
    if key is not None and is_readable:
        problems += check_key(wrong, holding, chain, key)
    elif trusted is not None and is_readable:
        problems += check_trust(wrong, holding, chain, trusted, stamped)
    owners = (
        None
        if trusted is None
        else tuple(trusted.owner_of(seal, stamped) for seal in newest(holding))
    )
    reviews = reviews_of(folder, chain, holding, Known(key, trusted, stamped))
    found = (
        *_check_log(folder, chain, seals, is_written),
        *_check_task(folder, chain),
        *clip_problems,
        *problems,
        *check_reviews(reviews),
        *stamp_problems,
    )
    keyless_until = _keyless_until(chain, holding)
    return Verified(
        entries=chain.entries,
        clips=intact,
        removed=len(chain.removed),
        seals=newest(holding),
        problems=tuple(found),
        notes=tuple(_notes(folder, chain, roots, keyless_until)),
        stamped=stamped,
        stage=_stage(chain, is_written),
        keyless_until=keyless_until,
        owners=owners,
        reviews=tuple(replace(each, whole=not found) for each in reviews),
    )


def _is_being_written(folder: Path) -> bool:
    """Whether a program holds the log, by the lock that every writer takes on it."""
    try:
        with open_plain(folder / LOG) as log:
            fcntl.flock(log, fcntl.LOCK_SH | fcntl.LOCK_NB)
    except BlockingIOError:
        return True
    except OSError:
        return False  # whoever reads it tells what is wrong
    return False


def _stage(chain: Chain, is_written: bool) -> Stage:
    if is_written:
        return Stage.BEING_WRITTEN
    return Stage.FINISHED if chain.ended else Stage.UNFINISHED


def _keyless_until(chain: Chain, holding: tuple[Seal, ...]) -> int | None:
    """The last entry before the first seal; None where nobody had been heard by then.

    A run with a key seals before it first listens, so what its first entry says of a key need not
    be believed: whoever makes an unsealed log again can write any name there.
    """
    covered = min((seal.entries for seal in holding), default=chain.entries)
    return covered - 1 if chain.heard is not None and chain.heard < covered else None


def _check_log(
    folder: Path, chain: Chain, seals: tuple[Seal, ...], is_written: bool
) -> Iterator[Problem]:
    if chain.broken is not None:
        entry = chain.broken.entry
        yield Problem(
            f"{LOG}, entry {entry}",
            chain.broken.why,
            max(lines_in(folder) - entry - 1, 0),
            len({seal.key for seal in seals if seal.entries > entry}),
        )
    elif chain.tail and not is_written:
        yield Problem(
            f"{LOG}, entry {chain.entries}",
            f"{NO_END}; a crash leaves that, and 'handsfree run --resume' cuts it",
        )
    elif not chain.entries:
        yield Problem(f"{LOG}, entry 0", "is missing: the log is empty")


def _check_task(folder: Path, chain: Chain) -> Iterator[Problem]:
    if chain.opened is None or (chain.broken is not None and chain.broken.entry == 0):
        return
    try:
        own = _sha256_of(folder / TASK)
    except OSError as error:
        yield Problem(f"{TASK}, entry 0", f"cannot be read ({error.strerror})")
        return
    if own != chain.opened.task_sha256:
        yield Problem(f"{TASK}, entry 0", "is not the task that the record was opened with")


def _check_clips(folder: Path, chain: Chain) -> tuple[int, list[Problem]]:
    """How many clips are intact, and what is wrong with others."""
    problems: list[tuple[int, Problem]] = []
    intact = 0
    for sha256, entry in chain.clips.items():
        path = path_of(folder, sha256)
        what = _wrong_with(path, sha256, sha256 in chain.removed, chain.broken is not None)
        if sha256 in chain.doubtful:
            what = f"{chain.doubtful[sha256]} before the sound was removed"
        if what is None:
            intact += sha256 not in chain.removed
        else:
            problems.append((entry, Problem(f"clips/{path.name}, entry {entry}", what)))
    for path in _unheard(folder, chain):
        if path.suffix != SUFFIX or _wrong_with(path, path.stem):
            problems.append((chain.entries, Problem(f"clips/{path.name}", "no entry heard it")))
    return intact, [problem for _, problem in sorted(problems, key=lambda each: each[0])]


def _unheard(folder: Path, chain: Chain) -> list[Path]:
    """Files among the clips that no entry names; none where the log is not to be believed."""
    if chain.broken is not None:
        return []
    return [
        path
        for path in sorted(folder_of(folder).glob("*"))
        if path.suffix != SUFFIX or path.stem not in chain.clips
    ]


def _wrong_with(
    path: Path, sha256: str, is_removed: bool = False, may_be_removed: bool = False
) -> str | None:
    """What is wrong with a clip; None: nothing.

    `may_be_removed`: the log cannot be believed to its end, and what follows may tell of it.
    """
    try:
        own = _sha256_of(path)
    except FileNotFoundError:
        if is_removed or may_be_removed:
            return None
        return "the clip is missing, and no entry says that it was removed"
    except OSError as error:
        return f"cannot be read ({error.strerror})"
    if is_removed:
        return "is still there, though an entry says that it was removed"
    return None if own == sha256 else "is not the sound that was heard"


def _check_time_stamp(
    folder: Path, roots: Path | None, is_seal_wrong: bool
) -> tuple[datetime | None, tuple[Problem, ...]]:
    if (folder / TIME_STAMP).is_dir():
        return None, (Problem(TIME_STAMP, "is a folder, where a time stamp would be a file"),)
    if roots is None:
        return None, ()
    try:
        seal = plain_bytes(folder / SEAL)
        return check_time_stamp(folder / TIME_STAMP, seal, roots), ()
    except TimeStampWrong as error:
        if is_seal_wrong and (folder / TIME_STAMP).exists():
            return None, ()  # another seal than the one that was stamped: told of the seal
        return None, (Problem(TIME_STAMP, str(error).rstrip(".")),)
    except OSError as error:
        return None, (Problem(TIME_STAMP, f"there is nothing to stamp ({error.strerror})"),)


def _notes(
    folder: Path, chain: Chain, roots: Path | None, keyless_until: int | None
) -> Iterator[str]:
    if keyless_until is not None:
        yield _told_of_no_key(chain, keyless_until)
    for entry in chain.set_back:
        yield (
            f"entry {entry}: the clock of the tool was set back before it. Order and durations "
            "are those of the entries, not of the clock."
        )
    if (folder / TIME_STAMP).exists() and roots is None:
        yield f"{TIME_STAMP}: not checked. Name the authority's root certificate with --roots."
    # A clip is written before its entry, so a crash can leave one that nobody answered.
    for path in _unheard(folder, chain):
        yield f"clips/{path.name}: no entry heard it."
    for path in sorted(folder.iterdir()):
        if path.name not in _OWN:
            yield f"{path.name}: is no part of the record and was not checked."


def _sha256_of(path: Path) -> str:
    with open_plain(path) as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _told_of_no_key(chain: Chain, until: int) -> str:
    by = None if chain.opened is None else chain.opened.by
    if by is None:
        return (
            f"opened without a key until entry {until}: whoever had the folder by then could have "
            "written those entries anew, and nothing here would show it."
        )
    return (
        f"opened without a key until entry {until}, as far as can be proved: entry 0 names {by}, "
        "and no seal as old as that is kept. Older versions of handsfree kept only the newest."
    )
