"""A supervisor's word on a record with a time stamp: the stamp never goes unasked."""

import shutil
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from handsfree.record.redact import redact
from handsfree.record.reviewing import ReviewRefused, Word
from handsfree.record.time_stamp import TimeStampInTheWay, attach_time_stamp
from handsfree.record.trusted import Trusted
from handsfree.record.verify import verify
from tests.record.runs import KEYS, Clock, NoSync, hold, lines_of
from tests.record.test_reviewing import BAD, BOTH, GOOD, give
from tests.record.test_time_stamp import Authority

pytestmark = pytest.mark.skipif(not shutil.which("openssl"), reason="there is no openssl here")


@pytest.fixture(scope="module")
def authority(tmp_path_factory: pytest.TempPathFactory) -> Authority:
    return Authority(tmp_path_factory.mktemp("tsa") / "authority")


@pytest.fixture
def stamped(authority: Authority, tmp_path: Path) -> Path:
    folder = tmp_path / "run"
    hold(folder)
    attach_time_stamp(folder, authority.stamp(folder / "seal.json"), authority.roots)
    return folder


@pytest.mark.parametrize("word", [GOOD, BAD])
def test_a_word_that_would_lose_the_time_stamp_is_refused(stamped: Path, word: Word) -> None:
    before = lines_of(stamped), (stamped / "seal.tsr").read_bytes()
    with pytest.raises(TimeStampInTheWay) as caught:
        give(stamped, word)
    assert str(caught.value) == (
        f"{stamped}/seal.tsr: an authority's time stamp is over seal.json as it is now, and would "
        "not be over the new seal. Keep a copy of both files in another place, add "
        "--replace-time-stamp, and have the new seal stamped. Nothing was written."
    )
    assert (lines_of(stamped), (stamped / "seal.tsr").read_bytes()) == before


def test_with_leave_the_word_is_given_and_the_new_seal_can_be_stamped(
    stamped: Path, authority: Authority
) -> None:
    give(stamped, roots=authority.roots, replace_time_stamp=True)
    assert not (stamped / "seal.tsr").exists()
    attach_time_stamp(stamped, authority.stamp(stamped / "seal.json"), authority.roots)
    found = verify(stamped, roots=authority.roots)
    assert found.problems == ()
    assert found.word is not None


def test_a_wrong_time_stamp_is_found_before_it_is_replaced(
    stamped: Path, authority: Authority
) -> None:
    (stamped / "seal.tsr").write_bytes(b"none")
    with pytest.raises(ReviewRefused, match=r"it does not verify \(seal\.tsr: "):
        give(stamped, roots=authority.roots, replace_time_stamp=True)
    assert (stamped / "seal.tsr").exists()


def test_what_only_the_time_stamp_makes_believed_is_not_accepted_without_it(
    stamped: Path, authority: Authority
) -> None:
    """The key of who did the work was revoked since: without the stamp nothing shows it older."""
    revoked = Trusted((replace(BOTH.keys[0], revoked=date(2030, 1, 1)), BOTH.keys[1]))
    assert verify(stamped, roots=authority.roots, trusted=revoked).problems == ()
    with pytest.raises(ReviewRefused, match="no time stamp that was checked shows that"):
        give(stamped, trusted=revoked, roots=authority.roots, replace_time_stamp=True)
    assert (stamped / "seal.tsr").exists()


def test_no_removal_of_sound_loses_the_time_stamp_unasked(stamped: Path) -> None:
    clips = sorted((stamped / "clips").iterdir())
    with pytest.raises(TimeStampInTheWay):
        redact(stamped, "kept long enough", KEYS, Clock().utc, files=NoSync())
    assert sorted((stamped / "clips").iterdir()) == clips
    redact(stamped, "over", KEYS, Clock().utc, files=NoSync(), replace_time_stamp=True)
    assert verify(stamped).problems == ()
