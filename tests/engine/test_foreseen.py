"""What will be said is known beforehand: the same engine says it."""

from hypothesis import given, settings

from handsfree.engine.effects import Say
from handsfree.engine.foreseen import answer_to, likely_answers
from tests.engine import people_task
from tests.engine.conversation import TO_END, Conversation, heard
from tests.engine.test_any_conversation import UTTERANCES, right_answer, spoken_to
from tests.how_many import examples


def said(run: Conversation) -> tuple[str, ...]:
    return tuple(each.text for each in run.last if isinstance(each, Say))


def test_the_answer_to_the_right_phrase_and_the_next_step_are_foreseen() -> None:
    run = Conversation().start()
    foreseen = likely_answers(run.task, run.state)
    run.say("pin fitted")
    # A step that is only said lies between, and the one after it is foreseen too.
    assert [each[:9] for each in said(run)] == ["Pin fitte", "Step two.", "Step thre"]
    assert set(said(run)) <= set(foreseen)


def test_both_verdicts_of_a_reading_and_the_step_after_it_are_foreseen() -> None:
    run = Conversation().start()
    run.say("pin fitted")
    sentences = {
        sentence.strip()
        for text in likely_answers(run.task, run.state)
        for sentence in text.split(". ")
    }
    assert "Inside limits." in sentences
    assert "Below minimum, minus two zero." in sentences
    assert "Above maximum, five zero." in sentences
    assert "Step four" in sentences


def test_what_follows_an_inspection_is_foreseen() -> None:
    run = people_task.at(*people_task.TO_LOCK, "lock tied", *people_task.INSPECTED[:-1])
    foreseen = likely_answers(run.task, run.state)
    run.say(people_task.INSPECTED[-1])
    told = tuple(each.text for each in run.last if isinstance(each, Say))
    assert told
    assert set(told) <= set(foreseen)


def test_say_again_is_always_ready() -> None:
    run = Conversation().start()
    assert "Say again." in likely_answers(run.task, run.state)


@settings(max_examples=examples(50))
@given(UTTERANCES)
def test_what_the_tool_says_to_the_right_answer_is_what_was_foreseen(
    utterances: list[tuple[str, float]],
) -> None:
    run = spoken_to(utterances)
    if run.finished:
        return
    likely_answers(run.task, run.state)  # for any state there is an answer, and no error
    words = heard(right_answer(run))
    foreseen = answer_to(run.task, run.state, words)
    run.send(words)
    run.finish_speaking()
    assert said(run) == foreseen


def test_looking_ahead_changes_nothing() -> None:
    run = Conversation().start()
    for words in TO_END:
        before = run.state
        likely_answers(run.task, run.state)
        assert run.state == before
        run.say(words)
