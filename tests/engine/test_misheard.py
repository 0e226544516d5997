"""Each "affirm", "negative" and "correction" tells how a person is heard."""

from handsfree.engine.effects import Say, Write
from handsfree.engine.entries import BadlyHeard
from handsfree.engine.events import Started
from handsfree.engine.voices import Voice
from handsfree.words.heard import Heard
from tests.engine.conversation import TO_PRESSURE, Conversation, heard
from tests.engine.people_task import PEOPLE, SEFA, TARN, TASK, TODAY

ADVICE = "I hear you badly. Speak closer, digit by digit, or use the keyboard."


def at(*utterances: str, checked: tuple[bool, ...] = ()) -> Conversation:
    run = Conversation()
    run.send(Started(checked=(("technician", checked),)))
    return run.finish_speaking().say(*utterances)


def voice(run: Conversation, person: str = "technician") -> Voice:
    return run.state.exchange.voices.voice(person)


def told(run: Conversation) -> list[BadlyHeard]:
    entries = [each.entry for each in run.effects if isinstance(each, Write)]
    return [each for each in entries if isinstance(each, BadlyHeard)]


def test_affirm_says_that_the_hearing_was_right() -> None:
    run = at(*TO_PRESSURE, "three thousand", "affirm")
    assert (voice(run).right, voice(run).wrong) == (2, 0)
    assert told(run) == []


def test_negative_correction_and_a_corrected_value_say_that_it_was_wrong() -> None:
    run = at(*TO_PRESSURE, "three thousand", "negative", "three thousand", "correction")
    assert (voice(run).right, voice(run).wrong) == (1, 2)
    run.say("two nine zero zero", "correction three thousand")
    assert voice(run).wrong == 3
    run.say("affirm")
    assert (voice(run).right, voice(run).wrong) == (2, 3)


def test_what_is_taken_back_in_everyday_words_was_heard_wrong_too() -> None:
    run = at(*TO_PRESSURE, "three thousand", "that's wrong")
    assert (voice(run).right, voice(run).wrong) == (1, 1)


def test_disregard_says_nothing_of_the_hearing() -> None:
    run = at(*TO_PRESSURE, "three thousand", "disregard")
    assert (voice(run).right, voice(run).wrong) == (1, 0)


def test_another_measurement_of_a_value_outside_its_limits_says_nothing_either() -> None:
    run = at(*TO_PRESSURE, "two zero zero zero", "correction three thousand")
    assert voice(run).wrong == 0


def test_what_was_typed_is_not_counted() -> None:
    run = at(*TO_PRESSURE)
    words = ("three", "thousand")
    run.send(Heard(words, 1.0, (), (), run.state.now, run.state.now, typed=True))
    run.finish_speaking().say("negative")
    assert voice(run).wrong == 0


def test_a_voice_that_was_misheard_must_be_heard_more_surely() -> None:
    run = at(*TO_PRESSURE)
    assert run.mumble("three thousand", 0.92).answer.endswith("Affirm?")
    run.say("negative")
    assert run.mumble("three thousand", 0.92).answer == "Say again."


def test_who_is_misheard_three_times_is_told_once_what_helps() -> None:
    run = at(*TO_PRESSURE)
    for times in range(1, 5):
        run.say("three thousand", "negative")
        assert (ADVICE in run.answer) is (times == 3)
    said = [each for each in run.effects if isinstance(each, Say) and each.text == ADVICE]
    assert len(said) == 1
    assert told(run) == [BadlyHeard("technician", 3, 4)]


def test_a_sound_check_before_the_run_sets_the_count_it_begins_with() -> None:
    run = at(*TO_PRESSURE, checked=(True,) * 8 + (False,) * 2)
    assert (voice(run).right, voice(run).wrong) == (9, 2)
    assert run.mumble("three thousand", 0.92).answer == "Say again."


def test_good_luck_in_the_check_lets_nothing_be_believed_on_less() -> None:
    run = at(*TO_PRESSURE, checked=(True,) * 10)
    run.send(heard("three thousand", 0.89))
    assert run.finish_speaking().answer == "Say again."


def test_each_person_has_a_count_of_their_own_which_goes_with_them() -> None:
    run = Conversation(TASK)
    checked = (("technician", (True, False)),)
    run.send(Started(people=PEOPLE, clock=TODAY, checked=checked))
    run.finish_speaking().say(TARN, "negative", TARN, "affirm", SEFA, "affirm")
    assert (voice(run, "OA417").right, voice(run, "OA417").wrong) == (2, 2)
    assert (voice(run, "OA522").right, voice(run, "OA522").wrong) == (1, 0)
    assert voice(run) == Voice()
