"""A supervisor's word: appended and sealed, never an edit, and counted only where it is theirs."""

import csv
import errno
import json
import shutil
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from io import StringIO
from pathlib import Path

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from handsfree.record import Circumstances, Record, RecordInUse, RecordNotWritten
from handsfree.record.chain import read_chain
from handsfree.record.entries import read_entries
from handsfree.record.export import export
from handsfree.record.files import Files
from handsfree.record.keys import Keys
from handsfree.record.marks import Reviewed, Stopped
from handsfree.record.redact import redact
from handsfree.record.replay import replay
from handsfree.record.reviewing import LONGEST, ReviewRefused, Word, WordUnfit, review
from handsfree.record.seal import read_seals, sign, write_seals
from handsfree.record.summary import Summary, summarise
from handsfree.record.summary_text import as_text
from handsfree.record.task_file import read_task_of
from handsfree.record.trusted import Trusted, TrustedKey
from handsfree.record.verify import verify
from tests.how_many import one_of
from tests.record.faulty_files import FaultyFiles
from tests.record.runs import (
    KEYS,
    SMALL,
    SMALL_SAID,
    START,
    Clock,
    NoSync,
    entries_of,
    hold,
    lines_of,
)
from tests.record.six_runs import RUNS

VERA = Keys("Vera Holm", Ed25519PrivateKey.from_private_bytes(bytes([7] * 32)))
OTHER = Keys("O. Ther", Ed25519PrivateKey.from_private_bytes(bytes([8] * 32)))
BOTH = Trusted(
    (
        TrustedKey(KEYS.name, "technician", KEYS.public),
        TrustedKey(VERA.name, "shift lead", VERA.public),
    )
)
GOOD = Word(True, "read and listened to")
BAD = Word(False, "the torque was never checked")


@pytest.fixture
def record(tmp_path: Path) -> Path:
    hold(tmp_path / "run")
    return tmp_path / "run"


def give(
    folder: Path,
    word: Word = GOOD,
    keys: Keys = VERA,
    trusted: Trusted | None = None,
    files: Files | None = None,
    roots: Path | None = None,
    replace_time_stamp: bool = False,
) -> Reviewed:
    utc_now = Clock(START + timedelta(days=1)).utc
    task, files = read_task_of(folder), files or NoSync()
    return review(folder, task, word, keys, utc_now, trusted, files, roots, replace_time_stamp)


def summary_of(folder: Path, trusted: Trusted | None = None) -> Summary:
    task, entries = read_task_of(folder), tuple(read_entries(folder))
    found = verify(folder, trusted=trusted)
    differences = sum(len(turn.differences) for turn in replay(task, entries))
    return summarise(task, entries, found, read_chain(folder).head, differences)


def test_a_word_is_appended_and_sealed_and_nothing_before_it_changes(record: Path) -> None:
    before = lines_of(record)
    give(record)
    assert lines_of(record)[:-1] == before
    last = entries_of(record)[-1]
    signature = last.fields.pop("signature")
    assert isinstance(signature, str)
    assert len(bytes.fromhex(signature)) == 64  # RFC 8032, 5.1.6
    assert (last.kind, last.fields) == (
        "reviewed",
        {
            "by": "Vera Holm",
            "key": VERA.public,
            "role": "supervisor",
            "accepted": True,
            "remark": "read and listened to",
            "took_part": [],
        },
    )
    found = verify(record)
    assert found.problems == ()
    assert [seal.by for seal in found.seals] == ["T. Person", "Vera Holm"]
    assert found.word is not None
    assert (found.word.verdict, found.word.utc) == ("accepted", "2031-05-05T12:00:00.000+00:00")


def test_a_reviewed_record_is_replayed_to_the_same_decisions(record: Path) -> None:
    give(record)
    summary = summary_of(record)
    assert (summary.differences, summary.why_unsigned) == (0, ())


def test_each_word_is_kept_and_the_latest_comes_first(record: Path) -> None:
    give(record, BAD)
    give(record, GOOD)
    assert [each.verdict for each in verify(record).reviews] == ["accepted", "rejected"]
    lines = [line for line in as_text(summary_of(record)).splitlines() if "**Review:**" in line]
    assert [line.split(" by ")[0].split()[-1] for line in lines] == ["ACCEPTED", "REJECTED"]


def test_what_is_rejected_has_no_place_to_sign_until_it_is_accepted(record: Path) -> None:
    give(record, BAD)
    told = as_text(summary_of(record))
    assert "There is nothing to sign here: Vera Holm has rejected it." in told
    give(record, GOOD)
    assert "Signature: ____" in as_text(summary_of(record))


def test_the_summary_says_it_before_the_verdict(record: Path) -> None:
    give(record)
    lines = [line for line in as_text(summary_of(record, BOTH)).splitlines() if line]
    assert lines[1] == (
        "- **Review:** 2031-05-05 12:00:00: ACCEPTED by Vera Holm, shift lead (in your list, as "
        "supervisor): “read and listened to”."
    )
    assert lines[2].startswith("- **Verdict:**")


def test_every_row_and_the_whole_have_the_word(record: Path, tmp_path: Path) -> None:
    give(record)
    export(record, read_task_of(record), verify(record), tmp_path / "out")
    rows = csv.DictReader(StringIO((tmp_path / "out" / "steps.csv").read_bytes().decode()))
    assert {row["review"] for row in rows} == {"accepted by Vera Holm, supervisor"}
    [told] = json.loads((tmp_path / "out" / "record.json").read_text())["reviews"]
    assert (told["by"], told["accepted"], told["counts"]) == ("Vera Holm", True, True)


def test_an_unfinished_record_can_be_rejected_and_not_accepted(tmp_path: Path) -> None:
    folder = tmp_path / "run"
    hold(folder, SMALL_SAID[:2])
    before = lines_of(folder)
    with pytest.raises(ReviewRefused) as caught:
        give(folder)
    assert str(caught.value) == (
        f"{folder}: it cannot be accepted: it is not finished. Have the task gone on with or done "
        "anew, or reject it. Nothing was written."
    )
    assert lines_of(folder) == before
    give(folder, BAD)
    assert verify(folder).problems == ()


def test_a_record_that_does_not_verify_can_be_rejected_and_not_accepted(record: Path) -> None:
    next((record / "clips").iterdir()).unlink()
    before = lines_of(record)
    with pytest.raises(ReviewRefused, match=r"does not verify \(clips/.*Find out why, or reject"):
        give(record)
    assert lines_of(record) == before
    give(record, BAD)
    assert [each.verdict for each in verify(record).reviews] == ["rejected"]


def test_a_record_of_an_untrusted_key_is_not_accepted(record: Path) -> None:
    only_vera = Trusted(BOTH.keys[1:])
    with pytest.raises(ReviewRefused, match="no seal that you trust covers them"):
        give(record, trusted=only_vera)
    give(record, trusted=BOTH)


def test_a_trial_is_not_accepted(tmp_path: Path) -> None:
    clock = Clock()
    with Record(
        tmp_path / "run",
        *(SMALL, clock.utc, clock.since_start, KEYS, NoSync(), Circumstances(clock_rate=60)),
    ) as made:
        made.seal()
    with pytest.raises(ReviewRefused, match="it is a trial, and it is not finished"):
        give(tmp_path / "run")


def test_a_damaged_log_takes_no_word_at_all(record: Path) -> None:
    log = record / "log.jsonl"
    log.write_bytes(log.read_bytes().replace(b"pin fitted", b"pin Fitted", 1))
    before = log.read_bytes()
    with pytest.raises(ReviewRefused) as caught:
        give(record, BAD)
    assert str(caught.value) == (
        f"{record}: its log is damaged, so no word can be put at its end, and none can be believed "
        "there. Keep it as it is: whoever verifies it or opens its page is told not to trust it. "
        "Nothing was written."
    )
    assert log.read_bytes() == before


def test_while_a_run_writes_it_takes_no_word(tmp_path: Path) -> None:
    clock = Clock()
    with Record(tmp_path / "run", SMALL, clock.utc, clock.since_start, KEYS, NoSync()) as made:
        made.seal()
        with pytest.raises(ReviewRefused, match="it is still being written"):
            give(tmp_path / "run")
        with pytest.raises(RecordInUse):
            give(tmp_path / "run", BAD)


def test_the_word_of_a_key_that_is_not_trusted_is_named_and_does_not_count(record: Path) -> None:
    give(record, keys=OTHER)
    found = verify(record, trusted=BOTH)
    assert found.problems == ()  # it changes nothing of what is trusted
    assert found.word is None
    assert found.reviews[0].why_not == "you do not trust its key"


def test_what_a_key_that_is_not_trusted_did_beside_its_word_is_told(record: Path) -> None:
    redact(record, "so nobody hears it", OTHER, Clock().utc, files=NoSync())
    give(record, keys=OTHER)
    found = verify(record, trusted=BOTH)
    assert "the seal of O. Ther: its key is not among those that you trust" in str(found.problems)


def test_what_was_accepted_is_not_where_something_was_done_after_it(record: Path) -> None:
    give(record)
    clock = Clock(START + timedelta(days=2))
    with Record.go_on(record, clock.utc, clock.since_start, KEYS, NoSync()) as again:
        again.append(Stopped("pressure", "once more"))
        again.seal()
    found = verify(record)
    assert found.problems == ()
    assert found.word is None
    assert found.reviews[0].why_not == "the task was gone on with after it"


@pytest.mark.parametrize(
    ("name", "part"),
    [
        ("Tarn Osk", "technician (OA417)"),
        ("sefa  LUND", "second person (OA522)"),
        ("T. Person", "began the run with this name on the key"),
    ],
)
def test_who_worked_on_it_is_named_as_judge_of_their_own_work(
    name: str, part: str, tmp_path: Path
) -> None:
    RUNS["perfect"](tmp_path / "run")
    said = give(tmp_path / "run", keys=Keys(name, OTHER.private))
    assert said.took_part == (part,)
    told = as_text(summary_of(tmp_path / "run"))
    assert f"{' '.join(name.split())} judges their own work: {part}." in told


def test_another_name_on_the_same_key_hides_nothing(record: Path) -> None:
    assert give(record, keys=Keys("N. Ewname", KEYS.private)).took_part == (
        "began the run with this name on the key",
    )


def test_who_only_reviewed_before_did_not_take_part(record: Path) -> None:
    give(record, BAD)
    assert give(record, GOOD).took_part == ()


@one_of(5)
def test_a_word_that_fails_at_any_call_leaves_nothing_half_and_can_be_given_again(
    tmp_path: Path, apart: int
) -> None:
    counted = FaultyFiles(at=None)
    hold(tmp_path / "counted")
    give(tmp_path / "counted", files=counted)
    entries = len(lines_of(tmp_path / "counted"))
    for partial in (False, True):
        for at in range(0, len(counted.calls), apart):
            folder = tmp_path / f"{at}-{partial}"
            hold(folder)
            with pytest.raises(RecordNotWritten):
                give(folder, files=FaultyFiles(at, errno.EIO, partial=partial))
            # It counts whole, sealed, or not at all.
            word = verify(folder).word
            assert word is None or verify(folder).problems == ()
            give(folder)
            assert verify(folder).problems == ()
            assert verify(folder).word is not None
            if not partial:
                assert len(lines_of(folder)) == entries
            shutil.rmtree(folder)
    print(f"{len(counted.calls)} calls, one of {apart} failed; each could be done again")


class NoNewFile(NoSync):
    """Files among which none can be made: an entry is written, and its seal is not."""

    def create(self, path: Path) -> int:
        raise OSError(errno.ENOSPC, "no space")


def test_a_word_that_was_cut_short_before_its_seal_opens_no_way_around_the_checks(
    tmp_path: Path,
) -> None:
    folder = tmp_path / "run"
    hold(folder, SMALL_SAID[:2])
    with pytest.raises(RecordNotWritten):
        give(folder, BAD, files=NoNewFile())
    with pytest.raises(ReviewRefused, match="it is not finished"):
        give(folder)


@pytest.mark.parametrize(
    ("make", "what"),
    [
        (lambda: Word(True, "  "), "remark"),
        (lambda: Word(True, "a\nb"), "remark"),
        (lambda: Word(True, "x" * (LONGEST + 1)), "remark"),
        (lambda: Word(True, "fine", "\u202erosivrepus"), "role"),
    ],
)
def test_a_remark_that_cannot_be_read_is_refused(make: Callable[[], Word], what: str) -> None:
    with pytest.raises(WordUnfit) as caught:
        make()
    assert str(caught.value) == (
        f"review: the {what} is empty, longer than {LONGEST} characters, or has what cannot be "
        "seen. Write it in one line."
    )


def test_entries_that_nobody_sealed_are_not_taken_for_a_word_that_was_cut_short(
    record: Path,
) -> None:
    """Anybody with the folder can append to it; only a seal tells who vouches."""
    with Record.go_on(record, Clock().utc, Clock().since_start, None, NoSync()) as again:
        again.append(Stopped("pressure", "it was somebody else"))
        again.append(Reviewed(VERA.name, VERA.public, "supervisor", True, GOOD.remark))
    with pytest.raises(ReviewRefused, match="nobody vouches for this entry and those after it"):
        give(record)


class SomebodyWasQuicker(NoSync):
    """Files where somebody else writes to the record after it was read and before it is locked."""

    def __init__(self, does: Callable[[], object]) -> None:
        self._does = does

    def open_to_append(self, path: Path) -> int:
        self._does()
        return super().open_to_append(path)


def _works(folder: Path) -> None:
    with Record.go_on(folder, Clock().utc, Clock().since_start, KEYS, NoSync()) as again:
        again.append(Stopped("pressure", "a moment ago"))
        again.seal()


def _removes_sound(folder: Path) -> None:
    redact(folder, "a moment ago", KEYS, Clock().utc, files=NoSync())


def _gives_a_word(folder: Path) -> None:
    give(folder, BAD, keys=OTHER)


def _makes_it_anew(folder: Path) -> None:
    shutil.rmtree(folder)
    hold(folder, ("pin fitted", "one four", "affirm"))


@pytest.mark.parametrize("word", [GOOD, BAD])
@pytest.mark.parametrize("does", [_works, _removes_sound, _gives_a_word, _makes_it_anew])
def test_what_was_changed_since_it_was_read_is_not_judged(
    record: Path, does: Callable[[Path], None], word: Word
) -> None:
    with pytest.raises(ReviewRefused) as caught:
        give(record, word, files=SomebodyWasQuicker(lambda: does(record)))
    assert str(caught.value) == (
        f"{record}: it was changed a moment ago. Look at it again. Nothing was written."
    )
    assert VERA.public.encode() not in (record / "log.jsonl").read_bytes()


def test_half_a_line_that_a_crash_left_is_no_change(record: Path) -> None:
    with (record / "log.jsonl").open("ab") as log:
        log.write(b'{"half')
    give(record)
    assert verify(record).problems == ()


def test_a_record_with_nothing_on_it_takes_no_word(record: Path) -> None:
    (record / "log.jsonl").write_bytes(b"")
    (record / "seal.json").unlink()
    with pytest.raises(ReviewRefused, match=r"nothing on it to judge\. Have the task done"):
        give(record, BAD)
    assert (record / "log.jsonl").read_bytes() == b""


def test_a_seal_that_does_not_hold_is_not_taken_for_one_that_is_missing(record: Path) -> None:
    """A word of hers that lacks its seal excuses that, and no other thing at the same place."""
    with pytest.raises(RecordNotWritten):
        give(record, files=NoNewFile())
    false = replace(sign(OTHER, 31, "0" * 64, "2031"), signature="0" * 128)
    write_seals(record, (*read_seals(record), false), NoSync())
    with pytest.raises(ReviewRefused, match=r"the seal of O\. Ther: its signature is not that of"):
        give(record)


def test_who_rejects_vouches_for_no_work_that_nobody_vouched_for(record: Path) -> None:
    with Record.go_on(record, Clock().utc, Clock().since_start, None, NoSync()) as again:
        again.append(Stopped("pressure", "appended by somebody"))
    give(record, BAD)
    found = verify(record)
    assert "nobody vouches for this entry and those after it" in str(found.problems)
    assert found.reviews[0].why_not == "the record does not verify"
    # Once who did the work vouches for it, her word counts without being said again.
    with Record.go_on(record, Clock().utc, Clock().since_start, KEYS, NoSync()) as again:
        again.seal()
    assert verify(record).rejection is not None
