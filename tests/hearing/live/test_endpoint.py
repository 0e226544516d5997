"""Where utterances begin and end, for any course of speech probabilities."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.hearing.live.endpoint import (
    Began,
    Boundary,
    Ended,
    Endpoint,
    Paused,
    RanOn,
    Rules,
    TalkedOn,
    WentOn,
    ends_after,
    follow,
)

RULES = Rules()
SMALL = Rules(
    onset_frames=2, onset_window=3, pre_roll=3, early=2, silence=5, longest=20, shortest_cut=3
)

# Stretches of speech, silence and doubt, as a detector gives them.
COURSES = st.lists(
    st.tuples(st.sampled_from([0.0, 0.2, 0.4, 0.6, 1.0]), st.integers(1, 12)), max_size=40
).map(lambda parts: [probability for probability, length in parts for _ in range(length)])


def boundaries(
    course: list[float], rules: Rules = SMALL, state: Endpoint | None = None
) -> list[Boundary]:
    found: list[Boundary] = []
    state = state or Endpoint()
    for probability in course:
        state, now = follow(state, probability, rules)
        found += now
    return found


def course(*parts: tuple[float, int]) -> list[float]:
    return [probability for probability, length in parts for _ in range(length)]


def test_silence_has_no_boundaries() -> None:
    assert boundaries([0.0] * 500, RULES) == []


def test_an_utterance_has_pre_roll_and_ends_with_the_silence_that_recognition_waited_for() -> None:
    found = boundaries(course((0, 30), (1, 20), (0, 30)), RULES)
    first, end = 30 - RULES.pre_roll, 50 + RULES.early
    assert found == [
        Began(first),
        Paused(first, end),
        Ended(first, end, cut=False, silence=RULES.silence),
    ]


def test_an_impulse_begins_nothing() -> None:
    """A blow of a rivet gun is over in some 50 ms (common practice, no source)."""
    assert boundaries(course((0, 30), (1, 2), (0, 20), (1, 2), (0, 30)), RULES) == []


def test_a_pause_within_an_utterance_does_not_end_it() -> None:
    found = boundaries(course((0, 30), (1, 10), (0, RULES.silence - 1), (1, 10), (0, 40)), RULES)
    assert [type(each) for each in found] == [Began, Paused, WentOn, Paused, Ended]
    assert isinstance(found[-1], Ended)
    assert found[-1].end == 30 + 10 + RULES.silence - 1 + 10 + RULES.early


def test_steady_voice_runs_on_and_then_needs_silence() -> None:
    found = boundaries(course((0, 30), (1, 1000), (0, 40), (1, 20), (0, 40)), RULES)
    assert [type(each) for each in found] == [Began, RanOn, Began, Paused, Ended]


def test_what_begins_under_the_own_voice_is_cut() -> None:
    """Of "pin not fitted", "fitted" must not be acted on."""
    state = Endpoint(at=100).listening_from_here()
    (*_, ended) = boundaries(course((1, 20), (0, 40)), RULES, state)
    assert isinstance(ended, Ended)
    assert ended.cut
    assert ended.first == 100


def test_an_answer_after_a_breath_is_not_cut() -> None:
    state = Endpoint(at=100).listening_from_here()
    (*_, ended) = boundaries(course((0, 6), (1, 20), (0, 40)), RULES, state)
    assert isinstance(ended, Ended)
    assert not ended.cut


def test_a_short_echo_of_the_own_voice_is_nothing() -> None:
    state = Endpoint(at=100).listening_from_here()
    found = boundaries(course((1, 5), (0, 40)), RULES, state)
    assert not any(isinstance(each, Ended) for each in found)
    assert isinstance(found[-1], WentOn)  # what was recognized early is dropped


def ended_after(
    course_: list[float], silence: int, at_silence: int
) -> tuple[Endpoint, list[Boundary]]:
    """Told, so many frames into the silence behind, how much of it ends the utterance."""
    state, found = Endpoint(), list[Boundary]()
    for probability in (*course_, *[0.0] * at_silence):
        state, now = follow(state, probability, RULES)
        found += now
    state, now = ends_after(state, silence, RULES)
    return state, [*found, *now]


@pytest.mark.parametrize("silence", [4, 6, 12, 25, 27, 62])
def test_a_silence_that_was_told_ends_the_utterance(silence: int) -> None:
    state, _ = ended_after(course((0, 30), (1, 20)), silence, at_silence=3)
    found = boundaries(course((0, 100)), RULES, state)
    first, end = 30 - RULES.pre_roll, 50 + RULES.early
    assert found == [Ended(first, end, cut=False, silence=silence)]


def test_what_is_known_late_ends_the_utterance_at_once() -> None:
    _, found = ended_after(course((0, 30), (1, 20)), 6, at_silence=15)
    first, end = 30 - RULES.pre_roll, 50 + RULES.early
    assert found[-1] == Ended(first, end, cut=False, silence=15)


def test_a_silence_counts_for_its_pause_only() -> None:
    """Known of "two niner" is nothing of "two niner five zero"."""
    state, _ = ended_after(course((0, 30), (1, 20)), 6, at_silence=4)
    found = boundaries(course((1, 10), (0, 40)), RULES, state)
    assert [type(each) for each in found] == [WentOn, Paused, Ended]
    assert found[0] == WentOn(pause=4)
    assert isinstance(found[-1], Ended)
    assert found[-1].silence == RULES.silence


@pytest.mark.parametrize("pause", [6, 10, 25])
def test_who_talks_on_after_an_early_end_says_one_utterance(pause: int) -> None:
    state, _ = ended_after(course((0, 30), (1, 20)), 6, at_silence=3)
    found = boundaries(course((0, pause - 3), (1, 10), (0, 40)), RULES, state)
    assert [type(each) for each in found] == [Ended, TalkedOn, Paused, Ended]
    early, talked_on, _, whole = found
    assert isinstance(early, Ended)
    assert isinstance(whole, Ended)
    assert talked_on == TalkedOn(pause)
    assert whole.first == early.first
    assert whole.end == 50 + pause + 10 + RULES.early


def test_what_was_settled_is_not_gone_on_with() -> None:
    """It is on the record, and an answer follows: what is said now is another utterance."""
    state, _ = ended_after(course((0, 30), (1, 20)), 6, at_silence=3)
    for _ in range(3):
        state, found = follow(state, 0.0, RULES)
    (early,) = found
    assert isinstance(early, Ended)
    after = boundaries(course((0, 2), (1, 10), (0, 40)), RULES, state.settled())
    assert [type(each) for each in after] == [Began, Paused, Ended]
    assert isinstance(after[0], Began)
    assert after[0].first >= early.end


def test_after_the_usual_silence_nobody_goes_on() -> None:
    state, _ = ended_after(course((0, 30), (1, 20)), 6, at_silence=3)
    found = boundaries(course((0, RULES.silence - 3), (1, 10), (0, 40)), RULES, state)
    assert [type(each) for each in found] == [Ended, Began, Paused, Ended]


def test_what_ended_before_it_was_known_that_more_must_come_goes_on() -> None:
    state, found = ended_after(course((0, 30), (1, 20)), 62, at_silence=RULES.silence)
    assert isinstance(found[-1], Ended)
    later = boundaries(course((0, 20), (1, 10), (0, 40)), RULES, state)
    assert [type(each) for each in later] == [WentOn, Paused, Ended]
    assert isinstance(later[-1], Ended)
    assert later[-1].first == found[-1].first


def test_half_an_utterance_ends_after_its_long_silence_too() -> None:
    state, _ = ended_after(course((0, 30), (1, 20)), 62, at_silence=RULES.silence)
    (ended,) = boundaries(course((0, 100)), RULES, state)
    assert isinstance(ended, Ended)
    assert ended.silence == 62


def test_what_is_cut_is_not_ended_early() -> None:
    """None of it is acted on: it is asked for again."""
    state = Endpoint(at=100).listening_from_here()
    for probability in course((1, 20), (0, 4)):
        state, _ = follow(state, probability, RULES)
    state, _ = ends_after(state, 6, RULES)
    (ended,) = boundaries(course((0, 40)), RULES, state)
    assert isinstance(ended, Ended)
    assert ended.silence == RULES.silence


def test_what_is_cut_is_over_once_it_has_ended() -> None:
    """It was asked for again: no longer pause is given to it, and what is said next is new."""
    state = Endpoint(at=100).listening_from_here()
    found: tuple[Boundary, ...] = ()
    for probability in course((1, 20), (0, RULES.silence)):
        state, found = follow(state, probability, RULES)
    assert isinstance(found[-1], Ended)
    assert ends_after(state, 62, RULES) == (state, ())
    assert isinstance(boundaries(course((1, 5)), RULES, state)[0], Began)


def test_told_while_nobody_speaks_it_changes_nothing() -> None:
    state = Endpoint(at=7)
    assert ends_after(state, 6, RULES) == (state, ())


@given(COURSES, st.lists(st.tuples(st.integers(0, 200), st.integers(0, 30)), max_size=6))
def test_whatever_is_told_when_no_two_utterances_that_stand_overlap(
    probabilities: list[float], told: list[tuple[int, int]]
) -> None:
    state, spans = Endpoint(), list[tuple[int, int]]()
    for at, probability in enumerate(probabilities):
        state, found = follow(state, probability, SMALL)
        for each in found:
            match each:
                case TalkedOn():
                    spans.pop()
                case Ended(first, end) | RanOn(first, end):
                    spans.append((first, end))
        for when, silence in told:
            ended = state.unsettled
            if when != at:
                continue
            state, now = ends_after(state, silence, SMALL)
            spans += [(each.first, each.end) for each in now if isinstance(each, Ended)]
            if ended is not None and state.unsettled is None:
                spans.pop()
    assert all(before[1] <= after[0] for before, after in pairwise(spans))
    assert all(first < end <= len(probabilities) for first, end in spans)


@given(COURSES)
def test_utterances_follow_each_other_and_none_overlaps(probabilities: list[float]) -> None:
    spans = [
        (each.first, each.end)
        for each in boundaries(probabilities)
        if isinstance(each, Ended | RanOn)
    ]
    assert all(first < end <= len(probabilities) for first, end in spans)
    assert all(before[1] <= after[0] for before, after in pairwise(spans))


@given(COURSES)
def test_what_was_recognized_early_is_the_utterance(probabilities: list[float]) -> None:
    """So the early result stands when the utterance has ended."""
    early: Paused | None = None
    for each in boundaries(probabilities):
        match each:
            case Paused():
                early = each
            case WentOn() | RanOn():
                early = None
            case Ended(first, end):
                assert early == Paused(first, end)
                early = None


@given(COURSES)
def test_no_utterance_is_longer_than_allowed(probabilities: list[float]) -> None:
    for each in boundaries(probabilities):
        if isinstance(each, Ended | RanOn):
            assert each.end - each.first <= SMALL.longest + SMALL.pre_roll + SMALL.silence


@given(COURSES)
def test_all_voice_that_is_long_enough_is_in_an_utterance(probabilities: list[float]) -> None:
    probabilities = [0.0] * 5 + probabilities + [0.0] * 10  # so that all that began has ended
    found = boundaries(probabilities)
    inside = {
        frame
        for each in found
        if isinstance(each, Ended | RanOn)
        for frame in range(each.first, each.end)
    }
    run_on = [each.end for each in found if isinstance(each, RanOn)]
    for at in range(len(probabilities) - SMALL.onset_frames):
        frames = range(at, at + SMALL.onset_frames)
        voiced = all(probabilities[frame] >= SMALL.begins_at for frame in frames)
        if voiced and not any(end <= frames[-1] for end in run_on):
            assert set(frames) <= inside


@given(COURSES, st.integers(0, 1000))
def test_no_frame_from_before_listening_is_used(probabilities: list[float], at: int) -> None:
    state = Endpoint(at=at).listening_from_here()
    for each in boundaries(probabilities, SMALL, state):
        if not isinstance(each, WentOn | TalkedOn):
            assert each.first >= at


@pytest.mark.parametrize(
    "wrong",
    [
        {"begins_at": 0.3, "goes_on_at": 0.4},
        {"early": 30},
        {"onset_frames": 9, "onset_window": 5},
    ],
)
def test_rules_that_contradict_themselves_are_refused(wrong: dict[str, float]) -> None:
    with pytest.raises(ValueError, match=r"goes_on_at|silence|window"):
        Rules(**wrong)  # type: ignore[arg-type] # wrong on purpose
