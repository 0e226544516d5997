"""What must never happen, in any order of utterances."""

from collections.abc import Iterator

from hypothesis import given, settings
from hypothesis import strategies as st

from handsfree.engine.effects import Listen, Say, Write
from handsfree.engine.entries import StepConfirmed, TaskEnded
from handsfree.engine.phase import Phase
from handsfree.engine.state import State
from handsfree.engine.trust import PHRASE_AT, VALUE_AT
from handsfree.words.standard import StandardWord
from tests.engine.conversation import TO_END, Conversation, heard
from tests.how_many import examples

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
# The right answer to each step that expects one.
ANSWERS = {
    "fit-pin": "pin fitted",
    "temperature": "one five",
    "pressure": "three thousand",
    "serial": "kilo delta four seven bravo",
    "side": "left side",
    "remove-pin": "pin removed",
}
UTTERANCES = st.lists(
    st.tuples(
        st.sampled_from(WORDS), st.sampled_from([0.0, PHRASE_AT - 0.01, PHRASE_AT, VALUE_AT, 1.0])
    ),
    max_size=40,
)


def turns(run: Conversation, utterances: list[tuple[str, float]]) -> Iterator[State]:
    """The state before each utterance; what came of it is in `run` when the loop sees it."""
    for words, score in utterances:
        if run.finished:
            return
        before = run.state
        run.send(heard(words, score))
        yield before
        run.finish_speaking()


def spoken_to(utterances: list[tuple[str, float]]) -> Conversation:
    run = Conversation().start()
    for _ in turns(run, utterances):
        pass
    return run


def right_answer(run: Conversation) -> str:
    """What brings the task on from here."""
    match run.state.phase:
        case Phase.STANDING_BY:
            return "go ahead"
        case Phase.REMARKING:
            return "the gauge is broken"
        case Phase.CATEGORISING:
            return "tool"
        case Phase.CONFIRMING:
            return "affirm"
    return ANSWERS[run.step]


@settings(max_examples=examples(300))
@given(UTTERANCES)
def test_a_run_always_listens_or_has_finished(utterances: list[tuple[str, float]]) -> None:
    run = spoken_to(utterances)
    assert run.finished or run.listens


@settings(max_examples=examples(300))
@given(UTTERANCES)
def test_steps_are_confirmed_in_order_and_each_once(utterances: list[tuple[str, float]]) -> None:
    run = spoken_to(utterances)
    confirmed = [
        each.entry.step
        for each in run.effects
        if isinstance(each, Write) and isinstance(each.entry, StepConfirmed)
    ]
    assert confirmed == [step.id for step in run.task.steps][: len(confirmed)]


@settings(max_examples=examples(300))
@given(UTTERANCES, st.sampled_from(WORDS), st.floats(0, PHRASE_AT, exclude_max=True))
def test_a_doubtful_hearing_by_itself_never_moves_anything(
    utterances: list[tuple[str, float]], words: str, score: float
) -> None:
    run = spoken_to(utterances)
    if run.finished or run.state.exchange.doubt.tries:
        return
    before = run.state
    run.send(heard(words, score))
    after = run.state
    assert (after.step, after.readings, after.states) == (
        before.step,
        before.readings,
        before.states,
    )
    # A remark is kept however it was heard, and no word of it is acted on.
    remarked = before.phase is Phase.REMARKING and after.phase is Phase.CATEGORISING
    assert remarked or after.phase in (before.phase, Phase.STANDING_BY)
    assert after.pending in (before.pending, None)


@settings(max_examples=examples(300))
@given(UTTERANCES)
def test_a_confirmed_reading_was_read_back_inside_limits_just_before(
    utterances: list[tuple[str, float]],
) -> None:
    run = Conversation().start()
    # The whole task is said at the end, so that readings are confirmed in most examples.
    whole = [("go ahead", 1.0), *((each, 1.0) for each in TO_END)]
    for before in turns(run, [*utterances, *whole]):
        if len(run.state.readings) > len(before.readings):
            assert before.phase is Phase.CONFIRMING
            assert run.state.readings[-1][1] == before.pending
            assert any("Inside limits" in say.text for say in before.value_said)


@settings(max_examples=examples(300))
@given(UTTERANCES)
def test_every_conversation_can_end_and_leaves_every_state_where_it_must_be(
    utterances: list[tuple[str, float]],
) -> None:
    run = spoken_to(utterances)
    while not run.finished:
        step, phase = run.state.step, run.state.phase
        run.say(right_answer(run))
        assert run.finished or (run.state.step, run.state.phase) != (step, phase)
    ended = [
        each.entry
        for each in run.effects
        if isinstance(each, Write) and isinstance(each.entry, TaskEnded)
    ]
    assert [dict(each.states) for each in ended] == [{"pin": "removed"}]


@settings(max_examples=examples(300))
@given(UTTERANCES)
def test_what_is_acknowledged_is_written_before_it_is_said(
    utterances: list[tuple[str, float]],
) -> None:
    run = Conversation().start()
    for _ in turns(run, utterances):
        kinds = [type(each) for each in run.last if not isinstance(each, Listen)]
        assert kinds == sorted(kinds, key=lambda kind: kind is Say)
