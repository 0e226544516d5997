"""What must never happen, in any order of utterances."""

from hypothesis import given, settings
from hypothesis import strategies as st

from handsfree.engine.effects import Listen, Say, Write
from handsfree.engine.entries import StepConfirmed, TaskEnded
from handsfree.engine.state import Phase
from handsfree.engine.trust import PHRASE_AT, VALUE_AT
from handsfree.words.standard import StandardWord
from tests.engine.conversation import TO_END, Conversation, heard

WORDS = sorted(
    {
        *(word.value for word in StandardWord),
        *TO_END,
        "pin removed",
        "right side",
        "three thousand p s i",
        "two eight four zero",
        "correction two nine zero zero",
        "thirty twelve",
        "two hundred bar",
        "kilo delta four eight bravo",
        "what is that",
        "",
    }
)
UTTERANCES = st.lists(
    st.tuples(
        st.sampled_from(WORDS), st.sampled_from([0.0, PHRASE_AT - 0.01, PHRASE_AT, VALUE_AT, 1.0])
    ),
    max_size=40,
)


def spoken_to(utterances: list[tuple[str, float]]) -> Conversation:
    run = Conversation().start()
    for words, score in utterances:
        if run.finished:
            break
        run.send(heard(words, score))
        run.finish_speaking()
    return run


@settings(max_examples=300)
@given(UTTERANCES)
def test_a_run_always_listens_or_has_finished(utterances: list[tuple[str, float]]) -> None:
    run = spoken_to(utterances)
    assert run.finished or run.listens


@settings(max_examples=300)
@given(UTTERANCES)
def test_steps_are_confirmed_in_order_and_each_once(utterances: list[tuple[str, float]]) -> None:
    run = spoken_to(utterances)
    confirmed = [
        each.entry.step
        for each in run.effects
        if isinstance(each, Write) and isinstance(each.entry, StepConfirmed)
    ]
    assert confirmed == [step.id for step in run.task.steps][: len(confirmed)]


@settings(max_examples=300)
@given(UTTERANCES, st.sampled_from(WORDS), st.floats(0, PHRASE_AT, exclude_max=True))
def test_a_doubtful_hearing_never_moves_anything(
    utterances: list[tuple[str, float]], words: str, score: float
) -> None:
    run = spoken_to(utterances)
    if run.finished:
        return
    before = run.state
    run.send(heard(words, score))
    after = run.state
    assert (after.step, after.readings, after.states) == (
        before.step,
        before.readings,
        before.states,
    )
    assert after.phase in (before.phase, Phase.STANDING_BY)
    assert after.pending in (before.pending, None)


@settings(max_examples=300)
@given(UTTERANCES)
def test_a_confirmed_reading_was_read_back_inside_limits_just_before(
    utterances: list[tuple[str, float]],
) -> None:
    run = Conversation().start()
    for words, score in utterances:
        if run.finished:
            break
        taken_before, pending = len(run.state.readings), run.state.pending
        waited = run.state.phase is Phase.CONFIRMING
        run.send(heard(words, score))
        run.finish_speaking()
        if len(run.state.readings) > taken_before:
            assert waited
            assert run.state.readings[-1][1] == pending
            assert "inside limits" not in run.answer.lower()


@settings(max_examples=300)
@given(UTTERANCES)
def test_the_task_ends_only_with_every_state_where_it_must_be(
    utterances: list[tuple[str, float]],
) -> None:
    run = spoken_to(utterances)
    for each in run.effects:
        if isinstance(each, Write) and isinstance(each.entry, TaskEnded):
            assert dict(each.entry.states) == {"pin": "removed"}


@settings(max_examples=300)
@given(UTTERANCES)
def test_what_is_acknowledged_is_written_before_it_is_said(
    utterances: list[tuple[str, float]],
) -> None:
    run = Conversation().start()
    for words, score in utterances:
        if run.finished:
            break
        run.send(heard(words, score))
        kinds = [type(each) for each in run.last if not isinstance(each, Listen)]
        assert kinds == sorted(kinds, key=lambda kind: kind is Say)
        run.finish_speaking()
