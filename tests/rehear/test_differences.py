from pathlib import Path

import pytest

from handsfree.rehear.differences import Weight
from handsfree.rehear.fates import Fate
from tests.record.runs import entries_of
from tests.rehear.records import CUT_OFF, RIGHT, ReadsClips, Said, hold, reheard


def said(**instead: str) -> list[Said]:
    """The right answers, one of them `heard` in place of what was said: pressure="five five"."""
    names = ("pin", "pressure", "affirm", "side", "number", "affirm_number")
    answers = zip(names, RIGHT, strict=True)
    return [(instead[name], str(right)) if name in instead else right for name, right in answers]


def test_a_record_that_was_heard_right_is_heard_the_same_again(
    tmp_path: Path, ears: ReadsClips
) -> None:
    found = reheard(hold(tmp_path / "run"))
    assert (found.records, found.clips, found.same, found.differences) == (1, 6, 6, [])
    assert found.exit_code == 0


def test_a_seeded_mishearing_is_found(tmp_path: Path, ears: ReadsClips) -> None:
    folder = hold(tmp_path / "run", said(pressure="five five"))
    (only,) = reheard(folder).differences
    assert (only.then.value, only.then.verdict) == ("65 bar", "inside limits")
    assert (only.now.value, only.now.verdict) == ("55 bar", "below minimum")
    assert (only.weight, only.moment.step, only.moment.fate, only.believed) == (
        *(Weight.LIMIT_CROSSED, "pressure", Fate.STANDS, True),
    )
    assert only.matters
    heard = next(each for each in entries_of(folder) if each.seq == only.moment.entry)
    assert heard.clip == only.moment.clip.stem
    assert reheard(folder).exit_code == 1


@pytest.mark.parametrize(
    ("instead", "weight"),
    [
        ({"pressure": "six six"}, Weight.ANOTHER_VALUE),
        ({"pressure": "seven one"}, Weight.LIMIT_CROSSED),
        ({"affirm": "negative"}, Weight.ANOTHER_ANSWER),
        ({"pin": "unable"}, Weight.ANOTHER_ANSWER),
        ({"pin": "pin not fitted"}, Weight.ANOTHER_ANSWER),
        ({"side": "right side"}, Weight.LIMIT_CROSSED),
        ({"number": "kilo delta five seven"}, Weight.ANOTHER_VALUE),
        ({"number": "kilo delta four eight"}, Weight.LIMIT_CROSSED),
    ],
)
def test_each_kind_of_answer_is_weighed(
    tmp_path: Path, ears: ReadsClips, instead: dict[str, str], weight: Weight
) -> None:
    (only,) = reheard(hold(tmp_path / "run", said(**instead))).differences
    assert only.weight is weight
    assert only.matters


@pytest.mark.parametrize(
    "wording", ["pressure six five bar", "sixty five", "six fife", "correction six five"]
)
def test_another_wording_of_the_same_value_is_no_difference(
    tmp_path: Path, ears: ReadsClips, wording: str
) -> None:
    found = reheard(hold(tmp_path / "run", said(pressure=wording)))
    assert (found.differences, found.same) == ([], 6)


def test_another_unit_is_another_value(tmp_path: Path, ears: ReadsClips) -> None:
    (only,) = reheard(hold(tmp_path / "run", said(pressure="six five p s i"))).differences
    assert (only.now.value, only.now.verdict) == ("65 psi", "another unit")


def test_the_worst_comes_first(tmp_path: Path, ears: ReadsClips) -> None:
    value = hold(tmp_path / "a", said(pressure="six six"))
    answer = hold(tmp_path / "b", said(affirm="negative"))
    doubtful = hold(tmp_path / "c", said(pressure="five five @0.4"))
    limit = hold(tmp_path / "d", said(pressure="five five"))
    found = reheard(value, answer, doubtful, limit)
    assert [each.moment.record for each in found.worst_first] == [limit, doubtful, answer, value]


def test_a_doubtful_hearing_matters_only_where_a_limit_lies_between(
    tmp_path: Path, ears: ReadsClips
) -> None:
    inside = reheard(hold(tmp_path / "a", said(pressure="six six @0.4")))
    across = reheard(hold(tmp_path / "b", said(pressure="five five @0.4")))
    assert [(each.believed, each.matters) for each in inside.differences] == [(False, False)]
    assert [(each.believed, each.matters) for each in across.differences] == [(False, True)]
    assert (inside.exit_code, across.exit_code) == (0, 1)


def test_what_fits_nothing_and_what_is_asked_again_is_counted(
    tmp_path: Path, ears: ReadsClips
) -> None:
    found = reheard(hold(tmp_path / "run", said(pressure="noise", side="left side @0.4")))
    assert (found.not_heard_again, found.unsure, found.differences) == (1, 1, [])
    assert found.exit_code == 0


def test_what_was_not_acted_on_then_is_no_difference(tmp_path: Path, ears: ReadsClips) -> None:
    doubtful = ("five five", "six five @0.4")
    found = reheard(hold(tmp_path / "run", [RIGHT[0], doubtful, *RIGHT[1:]]))
    assert (found.asked_then, found.believed_now, found.differences) == (1, 1, [])


def test_what_was_cut_off_by_the_voice_of_the_tool_is_not_heard_anew(
    tmp_path: Path, ears: ReadsClips
) -> None:
    """What is left of it may be a phrase that nobody said, such as the end of "pin not fitted"."""
    found = reheard(hold(tmp_path / "run", [("pin fitted", f"{CUT_OFF}pin fitted"), *RIGHT]))
    assert (found.asked_then, found.believed_now, found.differences) == (0, 0, [])


def test_a_value_that_was_corrected_is_told_as_such_and_matters_to_nobody(
    tmp_path: Path, ears: ReadsClips
) -> None:
    corrected: list[Said] = [RIGHT[0], ("five five", "six five"), "correction six six", *RIGHT[2:]]
    found = reheard(hold(tmp_path / "run", corrected))
    (only,) = found.differences
    assert (only.moment.fate, only.matters, found.exit_code) == (Fate.REPLACED, False, 0)
    assert only.moment.fate.value == "was taken back, corrected or found again later"


def test_a_value_that_was_undone_is_told_as_such_and_ranks_last(
    tmp_path: Path, ears: ReadsClips
) -> None:
    undone: list[Said] = [
        RIGHT[0],
        ("five five", "six five"),
        "affirm",
        "back to step two",
        "affirm",
    ]
    gone_back = hold(tmp_path / "a", [*undone, *RIGHT[1:]])
    stands = hold(tmp_path / "b", said(pressure="six six"))
    found = reheard(gone_back, stands)
    assert [each.moment.fate for each in found.worst_first] == [Fate.STANDS, Fate.UNDONE]
    assert [each.matters for each in found.worst_first] == [True, False]


def test_a_phrase_that_was_undone_is_told_as_such(tmp_path: Path, ears: ReadsClips) -> None:
    undone: list[Said] = [("unable", "pin fitted"), "back to step one", "affirm", *RIGHT]
    (only,) = reheard(hold(tmp_path / "run", undone)).differences
    assert (only.moment.fate, only.matters) == (Fate.UNDONE, False)


def test_an_identity_that_was_corrected_is_told_as_such(tmp_path: Path, ears: ReadsClips) -> None:
    wrong = ("kilo delta five seven", "kilo delta four seven")
    again: list[Said] = [*RIGHT[:4], wrong, "correction kilo delta five seven", "affirm"]
    (only,) = reheard(hold(tmp_path / "run", again)).differences
    assert only.moment.fate is Fate.REPLACED


def test_it_is_listened_for_what_was_listened_for_then(tmp_path: Path, ears: ReadsClips) -> None:
    reheard(hold(tmp_path / "run"))
    assert len(ears.sets) == 6
    assert ears.sets[1].holds_values
    assert not ears.sets[3].holds_values
    assert "delta" in ears.sets[4].vocabulary


def test_the_second_persons_value_is_heard_again_too(tmp_path: Path, ears: ReadsClips) -> None:
    """Both stated one value; the second one is heard as another now."""
    said_by_two: list[Said] = ["six five", ("second five five", "second six five"), "affirm"]
    (only,) = reheard(hold(tmp_path / "run", said_by_two, TWO)).differences
    assert (only.weight, only.then.value, only.now.value) == (
        *(Weight.LIMIT_CROSSED, "65 bar", "55 bar"),
    )


TWO = """\
task: bottle
title: Check a bottle
revision: "1"
approved_data: {reference: QX 1, revision: "2"}
applicability: {aircraft: Any 1, component: bottle}
steps:
  - id: pressure
    instruction: Read the pressure.
    expect: {reading: pressure, unit: bar, resolution: 1, limits: {min: 60, max: 70}}
    read_back: true
"""
