"""What the first screen and the end of a summary say of a record that is not as it should be."""

from dataclasses import replace
from datetime import UTC, date, datetime
from typing import Any

import pytest

from handsfree.engine.entries import (
    HandedOver,
    InspectionPassed,
    InspectionRejected,
    Remarked,
    StatementsDiffer,
    WentBack,
)
from handsfree.engine.findings import Category, Finding
from handsfree.record.first_screen import first_screen, trust_in_a_line
from handsfree.record.mishaps import Kind, Mishap
from handsfree.record.standing import FindingStands, verdict
from handsfree.record.summary import Part, Summary, _told
from handsfree.record.summary_text import as_text
from handsfree.record.trusted import TrustedKey, told
from handsfree.record.verified import Problem
from tests.record.runs import KEYS, hold
from tests.record.six_runs import summary_of

KEY = KEYS.public
NOT_ITS = Problem("log.jsonl, entry 4", "is not what was written")


@pytest.fixture(scope="module")
def summary(tmp_path_factory: pytest.TempPathFactory) -> Summary:
    record = tmp_path_factory.mktemp("told") / "run"
    hold(record)
    return replace(summary_of(record), differences=0)  # it is of another task


def verified(summary: Summary, **changes: Any) -> Summary:
    return replace(summary, verified=replace(summary.verified, **changes))


def line(summary: Summary, head: str) -> str:
    found = [each for each in first_screen(summary) if each.startswith(f"- **{head}:** ")]
    return found[0].partition(":** ")[2]


def test_the_trust_in_a_whole_record_is_told(summary: Summary) -> None:
    assert trust_in_a_line(summary) == (
        f"the record verifies from end to end. Sealed to its last entry by T. Person, key "
        f"{KEY[:16]}: compare keys with those that their owners gave you. "
        "A replay decides the same."
    )


def test_a_key_on_the_list_is_called_by_its_role_and_another_one_is_not_trusted(
    summary: Summary,
) -> None:
    owner = TrustedKey("T. Person", "technician", KEY, date(2031, 1, 1))
    trusted = trust_in_a_line(verified(summary, owners=(owner,)))
    assert " Sealed to its last entry by T. Person, technician, trusted. A replay" in trusted
    unknown = trust_in_a_line(verified(summary, owners=(None,)))
    assert " by T. Person, a key that you do not trust. A replay" in unknown


def test_the_first_problem_is_told_and_how_many_more_there_are(summary: Summary) -> None:
    bad = (
        "DO NOT TRUST IT: the record does not verify. log.jsonl, entry 4: is not what was written."
    )
    one = trust_in_a_line(verified(summary, problems=(NOT_ITS,)))
    assert one == f"{bad} A replay decides the same."
    two = trust_in_a_line(verified(summary, problems=(NOT_ITS, NOT_ITS, NOT_ITS)))
    assert two == f"{bad} And 2 more, below. A replay decides the same."


def test_decisions_that_differ_sound_that_was_removed_and_no_key_are_told(
    summary: Summary,
) -> None:
    found = trust_in_a_line(verified(replace(summary, differences=2), removed=1, keyless_until=7))
    assert found.endswith(
        "Opened without a key until entry 7. REPLAY DIFFERS in 2 decisions. "
        "The sound of 1 utterance was removed."
    )


def test_what_follows_from_a_broken_entry_is_counted() -> None:
    def told(entries: int, seals: int) -> str:
        return str(Problem("entry 4", "is wrong", entries, seals))

    assert told(0, 0) == "entry 4: is wrong."
    assert told(1, 0) == "entry 4: is wrong. 1 entry after it follows from it."
    assert told(0, 1) == "entry 4: is wrong. 1 seal after it follows from it."
    assert told(1, 1) == "entry 4: is wrong. 1 entry and 1 seal after it follow from it."
    assert told(3, 2) == "entry 4: is wrong. 3 entries and 2 seals after it follow from it."


def test_the_end_of_the_summary_tells_all_that_is_wrong(summary: Summary) -> None:
    wrong = verified(summary, problems=(NOT_ITS, Problem("task.yaml", "is another")), removed=2)
    assert as_text(wrong).endswith(
        "**It does not verify:**\n\n- log.jsonl, entry 4: is not what was written.\n"
        "- task.yaml: is another.\n"
        "The sound of 2 utterances was removed; the record says why.\n"
    )


def test_what_listened_and_when_an_authority_saw_the_seal_is_told(summary: Summary) -> None:
    assert summary.opened is not None
    heard = replace(summary.opened, models=(("reader.onnx", "ab12"),))
    stamped = datetime(2031, 5, 4, 13, tzinfo=UTC)
    text = as_text(verified(replace(summary, opened=heard), stamped=stamped, notes=("Note.",)))
    assert "\nHeard with reader.onnx, SHA-256 ab12.\nSealed by T. Person at " in text
    assert "\nAn authority saw the seal at 2031-05-04T13:00:00+00:00.\nNote.\nIt verifies" in text


@pytest.mark.parametrize(
    ("changes", "why"),
    [
        ({}, ()),
        ({"differences": 1}, ("a replay decides otherwise",)),
        ({"problems": (NOT_ITS,)}, ("its record does not verify",)),
        ({"finished": False}, ("it is not finished",)),
        ({"rate": 60}, ("it is a trial",)),
        (
            {"rate": 60, "differences": 1},
            ("it is a trial", "a replay decides otherwise"),
        ),
    ],
)
def test_what_is_not_as_it_should_be_leaves_nothing_to_sign(
    summary: Summary, changes: dict[str, Any], why: tuple[str, ...]
) -> None:
    assert summary.opened is not None
    found = replace(
        verified(summary, problems=changes.get("problems", ())),
        differences=changes.get("differences", 0),
        standing=replace(summary.standing, finished=changes.get("finished", True)),
        opened=replace(summary.opened, clock_rate=changes.get("rate", 1)),
    )
    assert found.why_unsigned == why
    told = f"There is nothing to sign here: {', and '.join(why)}."
    assert (told in as_text(found)) is bool(why)
    assert ("Signature: _" in as_text(found)) is not bool(why)
    assert (found.completed is None) is (not changes.get("finished", True))


def test_a_trial_says_first_that_it_is_one(summary: Summary) -> None:
    assert summary.opened is not None
    trial = replace(summary, opened=replace(summary.opened, clock_rate=60))
    assert list(first_screen(trial))[2] == (
        "**A TRIAL of the task: its clock went faster than time does. This is no record of work.**"
    )


def test_a_record_that_tells_no_times_and_nobody_says_so(summary: Summary) -> None:
    empty = replace(summary, began=None, workers=(), said_by={}, mishaps=())
    assert line(empty, "When") == "the record does not tell."
    assert line(empty, "Who") == ("nobody has done a step. People were not identified in this run.")
    assert line(empty, "Heard") == "nobody."
    assert line(empty, "Went wrong") == "nothing that is on the record."
    idle = (Part("T. Person", "is on the record with no step", ()),)
    assert line(replace(empty, others=idle), "Who") == (
        "nobody has done a step; T. Person is on the record with no step. "
        "People were not identified in this run."
    )


def test_the_zone_is_told_and_where_there_is_none_utc(summary: Summary) -> None:
    assert summary.opened is not None
    assert "(UTC; local time is not on the record)" in line(
        replace(summary, opened=replace(summary.opened, zone="")), "When"
    )


def test_what_went_wrong_is_counted_by_its_sort(summary: Summary) -> None:
    sorts = (Kind.VALUE, Kind.CLOCK, Kind.VALUE)
    wrong = tuple(Mishap(3, "2031-05-04T12:00:00.000+00:00", each, "gauge") for each in sorts)
    assert line(replace(summary, mishaps=wrong), "Went wrong") == (
        "2 values refused, 1 step of the clock."
    )


def test_a_step_that_led_on_and_one_that_was_undone_are_in_the_verdict(summary: Summary) -> None:
    found = replace(
        summary.standing, done=("pin",), led_on=(("gauge", "below"),), undone=("gauge",)
    )
    assert verdict(found) == (
        "Finished, BUT NOT EVERY STEP IS DONE: 1 of the 2 steps of the way taken are. "
        "Not done, led on by what was found: gauge (below). Findings open: none. "
        "Done again: none. Undone: gauge (not done since)."
    )


def test_what_is_not_done_is_listed_with_why_and_each_finding_with_what_came_of_it(
    summary: Summary,
) -> None:
    remarked = Finding(1, "pin", Category.PART, "the tie is bent", "OA417")
    silent = Finding(2, "gauge", Category.OTHER, "", None)
    found = replace(
        summary,
        standing=replace(
            summary.standing,
            finished=False,
            done=("pin",),
            deferred=(("cap", "the engineer"),),
            led_on=(("gauge", "below"),),
            undone=("pin", "tie"),
            at="lid",
            findings=(
                FindingStands(remarked),
                FindingStands(silent, "A. Nother", "replaced"),
                FindingStands(silent, "A. Nother"),
            ),
        ),
        told=tuple(
            _told(
                [
                    Remarked("pin", "unable", "the tie is bent", None),
                    Remarked("pin", "unable", "", None),
                    Remarked("pin", "unable", "it is a finding", 1),
                    InspectionPassed("pin", "OA633"),
                    InspectionRejected("pin", "OA633"),
                    StatementsDiffer("gauge", "9", "19", 1),
                    WentBack("pin", ("pin", "gauge"), ()),
                    WentBack("pin", (), ()),
                    HandedOver("pin", "OA417", (), (), (), (), ()),
                    HandedOver("pin", None, (), (), (), (), ()),
                ]
            )
        ),
    )
    text = as_text(found)
    assert (
        "\n".join(
            [
                "## Steps that are not done",
                "",
                "- cap: deferred by the engineer",
                "- gauge: below, which leads on as the task says",
                "- tie: undone, and not done since",
                "- lid: begun, and not left",
                "",
                "## Findings",
                "",
                "- 1, at pin, part: the tie is bent, raised by OA417; **open**",
                "- 2, at gauge, other: (the remark is in the clip); closed by A. Nother: replaced",
                "- 2, at gauge, other: (the remark is in the clip); closed by A. Nother: "
                "(what was done is in the clip)",
                "",
                "## Inspections, remarks, handovers, and what was undone",
                "",
                "- pin: remark on unable: the tie is bent",
                "- pin: remark on unable: (in the clip)",
                "- pin: inspected by OA633",
                "- pin: rejected by OA633",
                "- gauge: two persons read 9 and 19",
                "- back to pin, undone: pin, gauge",
                "- back to pin, undone: none",
                "- handed over at pin by OA417",
                "- handed over at pin by a person not identified",
                "",
            ]
        )
        in text
    )
    assert verdict(found.standing) == (
        "NOT FINISHED: 1 done of 3 steps gone through so far. The run stands at lid. "
        "Not done, deferred: cap (by the engineer). "
        "Not done, led on by what was found: gauge (below). "
        "Findings open: 1 (at pin, part: the tie is bent). Done again: none. "
        "Undone: pin, tie (not done since)."
    )


@pytest.mark.parametrize(
    ("remark", "told"),
    [
        ("", "in the clip"),
        ("a " * 29 + "bc", "a " * 29 + "bc"),  # sixty characters
        ("a " * 29 + "bcd", "a " * 27 + "a ..."),
    ],
)
def test_a_remark_in_the_verdict_has_sixty_characters_at_most(
    summary: Summary, remark: str, told: str
) -> None:
    finding = Finding(1, "pin", Category.PART, remark, None)
    stands = replace(summary.standing, findings=(FindingStands(finding),))
    assert f"Findings open: 1 (at pin, part: {told}). Done" in verdict(stands)


def test_the_keys_on_a_list_are_told_with_the_days_that_bind_them() -> None:
    key = TrustedKey("T. Person", "technician", KEY)
    assert told([key]) == [f"T. Person, technician: {KEY}"]
    bound = replace(
        key, valid_from=date(2031, 1, 2), valid_until=date(2032, 3, 4), revoked=date(2031, 5, 6)
    )
    assert told([bound]) == [
        f"T. Person, technician: {KEY} from 2031-01-02 until 2032-03-04, REVOKED on 2031-05-06"
    ]


def test_why_a_seal_of_a_key_is_not_believed_is_told(summary: Summary) -> None:
    [*_, seal] = summary.verified.seals  # of 4 May 2031
    key = TrustedKey("T. Person", "technician", KEY)
    assert key.why_not(seal, None) is None
    assert replace(key, name="A. Nother").why_not(seal, None) == (
        "it calls itself T. Person, and the key is that of A. Nother"
    )
    assert key.why_not(replace(seal, utc="noon"), None) == "its time 'noon' is none"
    days = {at: date(2031, 5, at) for at in (3, 4, 5)}
    assert replace(key, valid_from=days[4], valid_until=days[4]).why_not(seal, None) is None
    assert replace(key, valid_from=days[5]).why_not(seal, None) == (
        "it was made on 2031-05-04, and the key counts from 2031-05-05"
    )
    assert replace(key, valid_until=days[3]).why_not(seal, None) == (
        "it was made on 2031-05-04, and the key counted until 2031-05-03"
    )
    revoked = replace(key, revoked=days[4])
    stamped = {at: datetime(2031, 5, at, 12, tzinfo=UTC) for at in (3, 4)}
    assert revoked.why_not(seal, stamped[3]) is None
    assert revoked.why_not(seal, stamped[4]) is not None
    assert revoked.why_not(seal, None) is not None
