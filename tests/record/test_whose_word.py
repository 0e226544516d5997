"""A word counts only as that of the person who signed it, for the record on which they said it."""

import json
import shutil
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handsfree.engine.entries import PersonIdentified
from handsfree.record import Record
from handsfree.record.chain import BEGINNING, link
from handsfree.record.keys import Keys
from handsfree.record.marks import Reviewed, Stopped
from handsfree.record.redact import redact
from handsfree.record.reviewing import ReviewRefused, Word
from handsfree.record.seal import read_seals, sign, write_seals
from handsfree.record.signed_word import signer
from handsfree.record.trusted import Trusted, TrustedKey
from handsfree.record.values import JsonObject, fields_of
from handsfree.record.verify import verify
from handsfree.task.roles import Role
from tests.how_many import examples
from tests.record.runs import KEYS, SMALL_SAID, Clock, NoSync, go_on, hold, lines_of
from tests.record.test_hostile import chained
from tests.record.test_reviewing import BAD, BOTH, GOOD, OTHER, VERA, give, summary_of

BAD_AGAIN = Word(False, "still not")


@pytest.fixture
def record(tmp_path: Path) -> Path:
    hold(tmp_path / "run")
    return tmp_path / "run"


def append(folder: Path, *values: object, keys: Keys | None = None) -> None:
    """What anybody does who can write to the folder; it is sealed with `keys`, if any."""
    clock = Clock()
    with Record.go_on(folder, clock.utc, clock.since_start, keys, NoSync()) as again:
        for value in values:
            again.append(value)
        again.seal()


FORGED = Reviewed(VERA.name, VERA.public, "supervisor", True, "all well")


@pytest.mark.parametrize("sealed_by", [None, OTHER, VERA])
def test_a_word_that_she_did_not_sign_is_not_hers_whoever_seals_it(
    record: Path, sealed_by: Keys | None
) -> None:
    """Her own next seal, over a removal of sound perhaps, covers whatever was appended before."""
    append(record, FORGED, keys=sealed_by)
    found = verify(record)
    assert str(found.problems[-1]) == (
        f"log.jsonl, entry {found.entries - 1}: a word in the name of Vera Holm is not signed with "
        "the key that it names for this place: somebody else put it there, or it was changed."
    )
    assert found.word is None
    assert found.reviews[0].why_not == "it is not signed with the key that it names"


def test_her_removal_of_sound_makes_no_word_hers(record: Path) -> None:
    append(record, FORGED)
    redact(record, "kept long enough", VERA, Clock().utc, files=NoSync())
    assert verify(record).word is None


def test_her_own_next_word_makes_no_other_hers(record: Path) -> None:
    append(record, FORGED, keys=KEYS)
    with pytest.raises(ReviewRefused, match="a word in the name of Vera Holm is not signed"):
        give(record)
    give(record, BAD)
    assert [each.signed for each in verify(record).reviews] == [True, False]


# What is done to a record of hers by people who have all but her key; she goes on to seal.
_KINDS = ("forge", "replay", "edit", "stop", "cut", "seal by other", "seal by her")
_DEEDS = st.lists(st.tuples(st.sampled_from(_KINDS), st.integers(0, 59)), max_size=6)


class Forger:
    """The lines and seals of a record in the hands of somebody without her key."""

    def __init__(self, own: list[bytes], other: list[bytes]) -> None:
        self.entries = [json.loads(line) for line in own]
        self.known = [json.loads(each) for each in (*own, *other) if b'"reviewed"' in each]
        self.sealed_by: list[tuple[Keys, int]] = []

    def does(self, kind: str, number: int) -> None:
        match kind:
            case "forge":
                self._forge(number)
            case "replay":
                word = dict(self.known[number % len(self.known)])
                if number % 3:
                    word["seq"] = len(self.entries)
                self._put(word)
            case "edit":
                at = len(self.entries) - 1 - number // 6 % min(3, len(self.entries))
                name = ("accepted", "remark", "by", "utc", "signature", "key")[number % 6]
                if name in self.entries[at]:
                    value = {"accepted": True, "key": VERA.public}.get(name, f"x{number}")
                    self.entries[at] = self.entries[at] | {name: value}
            case "stop":
                self._put(self._entry("stopped", fields_of(Stopped("pin", f"{number}"))))
            case "cut":
                del self.entries[max(1, len(self.entries) - number % 4) :]
            case _:
                keys = VERA if kind == "seal by her" else OTHER
                self.sealed_by.append((keys, len(self.entries)))

    def _forge(self, number: int) -> None:
        accepted = number % 5 != 0
        said = replace(FORGED, accepted=accepted, remark=f"fine {number}")
        entry = self._entry("reviewed", fields_of(said))
        signatures = (
            "",
            "0" * 128,
            self.known[number % len(self.known)]["signature"],
            signer(OTHER)(entry | {"prev": self.head}),
            # Her seal over just this head is a signature of hers too.
            sign(VERA, len(self.entries), self.head, str(entry["utc"])).signature,
        )
        self._put(entry | {"signature": signatures[number % len(signatures)]})

    @property
    def head(self) -> str:
        log = chained(self.entries).splitlines()
        return link(log[-1]) if log else BEGINNING

    def _entry(self, kind: str, fields: JsonObject) -> JsonObject:
        last = self.entries[-1]
        place = {"seq": len(self.entries), "utc": last["utc"], "offset_ms": last["offset_ms"]}
        return {**fields, **place, "kind": kind}

    def _put(self, entry: JsonObject) -> None:
        self.entries.append(entry)  # the chain is made anew when all is written

    def write(self, folder: Path) -> None:
        log = chained(self.entries)
        (folder / "log.jsonl").write_bytes(log)
        lines = log.splitlines()
        seals = [
            sign(keys, min(entries, len(lines)), link(lines[min(entries, len(lines)) - 1]), "2031")
            for keys, entries in (*self.sealed_by, (OTHER, len(lines)))
        ]
        write_seals(folder, tuple(seals), NoSync())


@pytest.fixture(scope="module")
def hers(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """A record that she has rejected, and another that she has accepted."""
    place = tmp_path_factory.mktemp("hers")
    hold(place / "rejected", with_sound=False)
    give(place / "rejected", BAD)
    # The other has been running for longer, so that its word can come after any entry of the first.
    said = ("pin fitted", "nine", "correction nine", "correction one five", "affirm")
    hold(place / "accepted", said, with_sound=False)
    give(place / "accepted", GOOD)
    return place / "rejected", place / "accepted"


@settings(max_examples=examples(300))
@given(deeds=_DEEDS)
def test_without_her_key_nothing_makes_a_word_count_in_her_name(
    hers: tuple[Path, Path], tmp_path_factory: pytest.TempPathFactory, deeds: list[tuple[str, int]]
) -> None:
    own, other = hers
    genuine = {number: line for number, line in enumerate(lines_of(own)) if b'"reviewed"' in line}
    forger = Forger(lines_of(own), lines_of(other))
    for kind, number in deeds:
        forger.does(kind, number)
    folder = tmp_path_factory.mktemp("forged") / "run"
    shutil.copytree(own, folder)
    forger.write(folder)
    lines = lines_of(folder)
    for options in ({}, {"trusted": BOTH_AND_OTHER}, {"key": VERA.public}):
        found = verify(folder, **options)
        for each in found.reviews:
            if each.said.key == VERA.public and each.is_theirs:
                assert lines[each.entry] == genuine.get(each.entry)
        assert (
            found.word is None or found.word.said.key != VERA.public or not found.word.said.accepted
        )
    shutil.rmtree(folder)


BOTH_AND_OTHER = Trusted((*BOTH.keys, TrustedKey(OTHER.name, "clerk", OTHER.public)))


def test_a_word_copied_from_another_record_is_not_about_this_one(
    hers: tuple[Path, Path], record: Path
) -> None:
    word = json.loads(lines_of(hers[1])[-1])
    entries = [json.loads(line) for line in lines_of(record)]
    (record / "log.jsonl").write_bytes(chained([*entries, word | {"seq": len(entries)}]))
    append(record, keys=OTHER)
    assert verify(record).word is None


def test_a_word_that_is_said_again_later_by_another_is_not_hers(record: Path) -> None:
    give(record, GOOD)
    word = json.loads(lines_of(record)[-1])
    give(record, BAD)
    entries = [json.loads(line) for line in lines_of(record)]
    (record / "log.jsonl").write_bytes(chained([*entries, word | {"seq": len(entries)}]))
    append(record, keys=OTHER)
    found = verify(record)
    assert [each.signed for each in found.reviews] == [False, True, True]
    assert "a word in the name of Vera Holm is not signed" in str(found.problems[0])


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("accepted", True),
        ("by", "V. Holm"),
        ("key", OTHER.public),
        ("offset_ms", 40000),
        ("remark", "the torque was checked"),
        ("role", "director"),
        ("signature", "0" * 128),
        ("took_part", ["technician (OA1)"]),
        ("utc", "2031-05-06T12:00:00.000+00:00"),
    ],
)
def test_nothing_of_her_word_can_be_changed(record: Path, name: str, value: object) -> None:
    give(record, BAD)
    *entries, word = (json.loads(line) for line in lines_of(record))
    assert word[name] != value
    (record / "log.jsonl").write_bytes(chained([*entries, word | {name: value}]))
    write_seals(record, (), NoSync())
    append(record, keys=OTHER)
    assert [each.signed for each in verify(record).reviews] == [False]


def test_two_readers_cannot_take_one_line_for_two_words(record: Path) -> None:
    """JSON with a name twice has no one meaning (RFC 8259, 4); a signed line is canonical."""
    give(record, BAD)
    *lines, last = lines_of(record)
    (record / "log.jsonl").write_bytes(
        b"".join(lines) + last.replace(b'{"accepted":false', b'{"accepted":true,"accepted":false')
    )
    assert not verify(record).reviews[0].signed


def test_name_and_role_are_those_of_the_list_and_another_name_is_shown(record: Path) -> None:
    give(record, Word(True, "fine", "director"), keys=Keys("D. Irector", VERA.private))
    [review] = verify(record, trusted=BOTH).reviews
    assert (review.by, review.role, review.counts) == ("Vera Holm", "shift lead", True)
    assert review.in_a_line == "accepted by Vera Holm, shift lead"
    [told] = [line for line in _told(record, BOTH) if "Review" in line]
    assert "ACCEPTED by Vera Holm, shift lead (in your list, as director): “fine”." in told
    assert "It calls itself the word of “D. Irector”: its key is that of Vera Holm." in told


def test_the_word_of_a_revoked_key_is_told_with_why_it_does_not_count(record: Path) -> None:
    revoked = replace(BOTH.keys[1], revoked=date(2031, 1, 1))
    give(record)
    [review] = verify(record, trusted=Trusted((BOTH.keys[0], revoked))).reviews
    assert (review.by, review.counts) == ("Vera Holm", False)
    assert review.why_not == (
        "the key was revoked on 2031-01-01, and no time stamp that was checked shows that the word "
        "is older"
    )


def test_who_took_part_is_read_from_the_record_and_not_believed(record: Path) -> None:
    """The entry is written by whoever gives the word; a changed tool could leave it out."""
    append(record, PersonIdentified(Role.TECHNICIAN, "OA1", "Vera  holm"), keys=KEYS)
    clock = Clock()
    with Record.go_on(record, clock.utc, clock.since_start, VERA, NoSync()) as again:
        again.append_word(FORGED)  # signed, and silent about her part
        again.seal()
    [review] = verify(record).reviews
    assert (review.counts, review.said.took_part) == (True, ())
    assert review.took_part == ("technician (OA1)",)
    assert review.in_a_line == ("accepted by Vera Holm, supervisor, who took part in the work")


def test_who_calls_themselves_otherwise_is_known_by_the_list(record: Path) -> None:
    give(record, keys=Keys("N. Ewname", KEYS.private))
    seals = read_seals(record)
    write_seals(record, seals[1:], NoSync())  # the older seal has their usual name
    assert verify(record).reviews[0].took_part == ()
    assert verify(record, trusted=BOTH).reviews[0].took_part == (
        "began the run with this name on the key",
    )


def test_a_rejection_stands_until_the_same_key_accepts(record: Path) -> None:
    give(record, BAD)
    give(record, GOOD, keys=OTHER)
    found = verify(record)
    assert found.word == found.rejection
    assert found.rejection is not None
    assert found.rejection.by == "Vera Holm"
    assert summary_of(record).why_unsigned == ("Vera Holm has rejected it",)
    assert "There is nothing to sign here: Vera Holm has rejected it." in _told(record)
    give(record, GOOD)
    assert verify(record).rejection is None
    assert summary_of(record).why_unsigned == ()


def test_a_rejection_after_an_acceptance_of_the_same_key_stands(record: Path) -> None:
    give(record, GOOD)
    give(record, BAD_AGAIN)
    assert verify(record).rejection is not None


def test_who_took_part_lifts_no_rejection_not_even_their_own(record: Path) -> None:
    give(record, BAD, keys=KEYS)
    give(record, GOOD, keys=KEYS)
    assert verify(record).reviews[0].counts
    assert summary_of(record).why_unsigned == ("T. Person has rejected it",)


def test_to_go_on_with_the_work_lifts_no_rejection(tmp_path: Path) -> None:
    folder = tmp_path / "run"
    hold(folder, SMALL_SAID[:2])
    give(folder, BAD)
    go_on(folder)
    assert summary_of(folder).why_unsigned == ("Vera Holm has rejected it",)
    assert "The task was gone on with after this word." in "\n".join(_told(folder))
    give(folder, GOOD)
    assert summary_of(folder).why_unsigned == ()


def test_the_rejection_of_a_key_that_is_not_trusted_does_not_stand(record: Path) -> None:
    give(record, BAD, keys=OTHER)
    assert verify(record, trusted=BOTH).rejection is None


def test_no_word_counts_while_the_record_does_not_verify(record: Path) -> None:
    give(record)
    clip = next((record / "clips").iterdir())
    sound = clip.read_bytes()
    clip.unlink()
    found = verify(record)
    assert found.word is None
    assert found.reviews[0].why_not == "the record does not verify"
    assert "This word does not count: the record does not verify." in "\n".join(_told(record))
    clip.write_bytes(sound)
    assert verify(record).word is not None


def test_sound_that_was_removed_after_a_word_is_told_of(record: Path) -> None:
    give(record)
    redact(record, "kept long enough", OTHER, Clock().utc, files=NoSync())
    told = "\n".join(_told(record))
    assert "Sound was removed after this word (4 clips)." in told
    assert verify(record).word is not None
    give(record, Word(True, "once more"))
    assert [each.removed_since for each in verify(record).reviews] == [0, 4]


def test_with_a_key_its_seal_is_enough_after_the_words_of_others(record: Path) -> None:
    give(record)
    found = verify(record, key=KEYS.public)
    assert found.problems == ()
    assert found.word is None
    assert found.reviews[0].why_not == "it is of another key than you asked for"
    hers = verify(record, key=VERA.public.upper())
    assert hers.problems == ()
    assert hers.word is not None


def test_with_a_key_what_others_removed_or_did_is_not_covered(record: Path) -> None:
    """Or somebody without that key could take the sound away, and it would pass."""
    redact(record, "so nobody hears it", OTHER, Clock().utc, files=NoSync())
    (problem,) = verify(record, key=KEYS.public).problems
    assert (
        str(problem)
        == f"seal.json, entries 30 to 30: no seal of the key {KEYS.public} covers them."
    )


def test_with_a_key_a_word_that_nobody_sealed_is_still_told(record: Path) -> None:
    clock = Clock()
    with Record.go_on(record, clock.utc, clock.since_start, VERA, NoSync()) as again:
        again.append_word(FORGED)
    assert "nobody vouches for this entry" in str(verify(record, key=KEYS.public).problems)


def _told(folder: Path, trusted: Trusted | None = None) -> list[str]:
    from handsfree.record.summary_text import as_text

    return as_text(summary_of(folder, trusted)).splitlines()
