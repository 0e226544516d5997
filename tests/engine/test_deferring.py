"""A deferral has the name and the reference of who agreed to it; both are read back.

EASA 145.A.50(e), from memory: work that cannot be completed is entered, and not passed over. That
the word of whoever may defer is put down by name and reference is common practice, no source.
"""

from datetime import timedelta

import pytest

from handsfree.engine.entries import Remarked, StepDeferred, StoodBy, WentOn
from handsfree.engine.phase import Phase
from handsfree.words.heard import Heard, Opinion
from tests.engine.people_task import AGREED, TO_COVER, Crewed, at

ASKED = (*TO_COVER, "unable", "the hinge is bent", "part")
TO_REFERENCE = (*ASKED, *AGREED[:2])
READ_BACK = "Deferred by maintenance control: olan ahl. Reference romeo three one. Affirm?"


def test_affirm_alone_defers_nothing() -> None:
    run = at(*ASKED, "affirm")
    assert run.answer == "Say the name of who has deferred it."
    assert run.step == "cover"


def test_the_name_is_any_words_and_the_reference_is_spelled() -> None:
    run = at(*ASKED, "affirm", "olan ahl")
    assert run.written == [Remarked("cover", "deferred", "olan ahl", None)]
    assert run.answer == "Noted. Say the reference, letter by letter."
    assert run.say("romeo three one").answer == READ_BACK
    assert run.say("read back").answer == READ_BACK


def test_the_reference_may_be_called_so() -> None:
    assert at(*TO_REFERENCE, "reference romeo three one").answer == READ_BACK


def test_name_and_reference_are_on_the_record_with_the_step() -> None:
    run = at(*ASKED, *AGREED)
    entry = StepDeferred("cover", "maintenance control", "affirm", (), "olan ahl", "R31")
    assert entry in run.written
    assert run.answer.startswith("Step niner is deferred. A finding is open.")


@pytest.mark.parametrize("word", ["negative", "disregard"])
def test_what_was_heard_wrong_is_asked_for_again_from_the_name_on(word: str) -> None:
    run = at(*TO_REFERENCE, "romeo three two", word)
    assert run.answer == "Say the name of who has deferred it."
    run.say("ada ost", "tango one", "affirm")
    entry = StepDeferred("cover", "maintenance control", "affirm", (), "ada ost", "T1")
    assert entry in run.written


def test_a_reference_is_corrected_before_it_is_affirmed() -> None:
    run = at(*TO_REFERENCE, "romeo three two", "correction romeo three one")
    assert run.answer == READ_BACK


@pytest.mark.parametrize("said", [(), ("romeo three one",)])
def test_go_ahead_tries_the_step_again_and_defers_nothing(said: tuple[str, ...]) -> None:
    run = at(*TO_REFERENCE, *said, "go ahead")
    assert WentOn("cover") in run.written
    assert run.answer.startswith("Going on. Step niner.")
    assert not run.state.progress.left_undone
    assert [each.number for each in run.state.findings.open] == [1]


def test_a_name_that_nobody_could_write_down_is_kept_in_its_sound() -> None:
    run = at(*ASKED, "affirm", "")
    assert run.answer == "I heard nothing. Say the name."
    run.say("", "")
    assert run.say("romeo three one").answer == (
        "Deferred by maintenance control: a name that is kept in its sound. "
        "Reference romeo three one. Affirm?"
    )


def test_the_name_is_what_was_written_freely_and_no_word_of_it_is_acted_on() -> None:
    run = at(*ASKED, "affirm")
    opinion = Opinion("any", ("affirm",), -1.0, 0.0, "Olan Ahl, affirm.")
    run.send(Heard(("affirm",), 0.99, (), (opinion,), run.now, run.now))
    run.finish_speaking()
    assert run.written == [Remarked("cover", "deferred", "Olan Ahl, affirm.", None)]
    assert run.state.phase is Phase.REFERENCING


def test_a_doubtful_reference_is_asked_for_again_with_what_it_is_for() -> None:
    run = at(*TO_REFERENCE)
    run.hear("romeo three one", 0.2)
    assert run.answer.startswith("Say again")
    run.say("romeo three one").hear("affirm", 0.2)
    assert run.answer.endswith(READ_BACK)  # "affirm" never follows without what it affirms
    assert run.state.phase is Phase.DEFERRAL_HEARD


def test_what_is_no_reference_is_answered_with_what_is_wanted() -> None:
    run = at(*TO_REFERENCE, "cover fitted")
    assert run.answer.endswith("Say the reference, letter by letter.")
    assert "waiting for the reference of the deferral" in run.say("where am i").answer


def test_stand_by_drops_the_deferral_and_keeps_the_finding() -> None:
    run = at(*TO_REFERENCE, "romeo three one", "stand by")
    assert StoodBy("cover", "stand by") in run.written
    assert run.say("go ahead").step == "cover"
    assert not run.state.progress.left_undone


@pytest.mark.parametrize("said", [ASKED, (*ASKED, "affirm"), TO_REFERENCE, (*ASKED, *AGREED[:3])])
def test_a_program_that_ends_on_the_way_leaves_the_step_undone(said: tuple[str, ...]) -> None:
    run: Crewed = at(*said).after(timedelta(minutes=1)).taken_up()
    assert WentOn("cover") in run.written
    assert not run.state.progress.left_undone
    assert [each.number for each in run.state.findings.open] == [1]


def test_a_reference_that_is_corrected_in_doubt_is_asked_for_again_from_the_name_on() -> None:
    run = at(*TO_REFERENCE, "romeo three two").hear("correction romeo three", 0.5)
    assert run.answer == "Say the name of who has deferred it."
    assert run.say("affirm").step == "cover"
