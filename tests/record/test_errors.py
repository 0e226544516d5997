"""What each error about a record says: where, what, and what to do now; and its exit code."""

from pathlib import Path

import pytest

from handsfree.errors import HandsfreeError
from handsfree.record.entries import EntryUnreadable, NoRecord, RecordUnreadable
from handsfree.record.export import ExportNotWritten
from handsfree.record.keys import KeysExist, KeysUnusable
from handsfree.record.log import RecordInUse, RecordNotWritten
from handsfree.record.plain import NotPlain, TooLarge
from handsfree.record.record import RecordExists
from handsfree.record.redact import ClipNotOnRecord
from handsfree.record.repair import RecordDamaged
from handsfree.record.replay import ReplayDiffers
from handsfree.record.seal import SealUnreadable
from handsfree.record.time_stamp import TimeStampWrong
from handsfree.record.trusted import TrustedKeysNotWritten

HERE = Path("r")
FULL = OSError(28, "No space left on device")
SAID: dict[HandsfreeError, tuple[int, str]] = {
    EntryUnreadable(7, "no time"): (
        1,
        "entry 7: cannot be read (no time). Run 'handsfree verify' on the record; if it is whole, "
        "it was written by another version of handsfree: use that one.",
    ),
    RecordUnreadable(HERE, PermissionError(13, "Permission denied")): (
        1,
        "r: cannot be read (Permission denied). Ask for leave to read it, or have the disk looked "
        "at.",
    ),
    RecordUnreadable(HERE, OSError("the cable is out")): (
        1,
        "r: cannot be read (the cable is out). Ask for leave to read it, or have the disk looked "
        "at.",
    ),
    NoRecord(HERE): (
        2,
        "r: no record there (log.jsonl and task.yaml). Name the folder of a record.",
    ),
    ExportNotWritten(HERE, FULL): (
        2,
        "r: the export cannot be written there (No space left on device). Name a new folder; "
        "nothing is written over.",
    ),
    KeysExist(HERE): (
        2,
        "r: there is a key already, and a lost key cannot be made again. Name another folder with "
        "--keys, or move the old key away.",
    ),
    KeysUnusable(HERE, "is open to others", "Close it"): (2, "r: is open to others. Close it."),
    RecordInUse(HERE): (
        1,
        "r: another program writes to this record, and it has one writer at a time. Wait until the "
        "other one ends.",
    ),
    RecordNotWritten(HERE, FULL): (
        1,
        "r: cannot be written (No space left on device). The task holds here, for nothing more "
        "could be proved. What was acknowledged before is on the record. Make room or mend the "
        "disk, and go on with 'handsfree run --resume'.",
    ),
    NotPlain(HERE, "a link"): (
        1,
        "r: is a link; a record holds only plain files and folders. Look who put it there, and "
        "take the record from where it was kept. Nothing was changed.",
    ),
    TooLarge(HERE, 3 * 2**20): (
        1,
        "r: is larger than 3 MiB, and so no part of a record that handsfree wrote: reading it "
        "could take for ever. Look who put it there. Nothing was changed.",
    ),
    RecordExists(HERE): (
        1,
        "r: something is there already, and a record is never written over. Name another folder "
        "with --record.",
    ),
    ClipNotOnRecord(HERE, "ab12"): (
        2,
        "r: no entry heard a clip ab12. 'handsfree replay' shows the clips.",
    ),
    RecordDamaged(HERE, 4, "is no entry"): (
        1,
        "r, entry 4: is no entry. A crash does not do that, so nothing is mended. Keep the record "
        "as it is, tell your supervisor, and begin a new one.",
    ),
    ReplayDiffers(9): (
        1,
        "entry 9: this version of handsfree decides otherwise than the record says, so where the "
        "task stands is not certain. 'handsfree replay' shows both side by side. Go on with the "
        "version that wrote the record, or begin a new one.",
    ),
    SealUnreadable(HERE, "no signature"): (
        1,
        "r: is not a seal as handsfree writes it (no signature). It was changed or damaged; get "
        "the one that was kept apart from the record.",
    ),
    TimeStampWrong(HERE, "it is over another seal."): (
        1,
        "r: is no time stamp for this seal (it is over another seal). Ask the authority for one "
        "over the seal.json that is there now, and name its root certificate with --roots.",
    ),
    TrustedKeysNotWritten(HERE, "that is no key", "Name a file"): (
        2,
        "r: that is no key. Name a file.",
    ),
}


@pytest.mark.parametrize("error", SAID, ids=lambda each: type(each).__name__)
def test_an_error_says_where_what_and_what_to_do(error: HandsfreeError) -> None:
    assert (error.exit_code, str(error)) == SAID[error]
