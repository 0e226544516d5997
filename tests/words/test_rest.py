"""What may still be said after words that were heard, by the phrase set and by the task."""

from dataclasses import replace
from decimal import Decimal
from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.words.automaton import Automaton
from handsfree.words.awaited import AnyWords, Lengths, Scale
from handsfree.words.language import language_of
from handsfree.words.meanings import Stated, Understood
from handsfree.words.numerals import number
from handsfree.words.phrases import (
    CasualWords,
    Confirmation,
    Date,
    Identity,
    Negations,
    Order,
    Phrase,
    PhraseSet,
    Reading,
    ReadingTwice,
    Seconded,
    Standard,
    Taken,
)
from handsfree.words.plain import PlainWord
from handsfree.words.rest import Rest, rest_of
from handsfree.words.spoken_numbers import speak_figures
from handsfree.words.standard import StandardWord

_READING = Reading(("pressure", "gauge"), "psi")
_FIXED: tuple[Phrase, ...] = (
    Confirmation("pin fitted"),
    Confirmation("pin fitted and locked"),
    Confirmation("cover closed"),
    *map(Standard, StandardWord),
    *map(Order, PlainWord),
    Taken(),
    CasualWords(),
    Negations(("pin fitted", "cover closed", "affirm", "go ahead", "stop")),
)
# Limits of 2,800 to 3,200 psi on a gauge of 10 psi.
_GAUGE = Scale.around(Decimal(10), Decimal(2800), Decimal(3200))
PRESSURE = PhraseSet((_READING, Seconded(_READING), *_FIXED), awaited=_GAUGE)
SERIAL = PhraseSet((Identity(("serial number",)), *_FIXED), awaited=Lengths(frozenset({5})))
DUE = PhraseSet((Date(("calibration due",)), *_FIXED))
FIXED = PhraseSet(_FIXED)


def rest(said: str, phrases: PhraseSet = PRESSURE) -> Rest | None:
    return rest_of(tuple(said.split()), phrases)


@pytest.mark.parametrize(
    ("said", "left"),
    [
        # Nothing can follow, or only what takes it back.
        ("two niner five zero p s i", Rest.NOTHING),
        ("pressure two niner five zero p s i", Rest.NOTHING),
        ("affirm", Rest.NOTHING),
        ("say again", Rest.NOTHING),
        ("go ahead", Rest.NOTHING),
        ("cover closed", Rest.NOTHING),
        ("unable", Rest.NOTHING),
        ("where am i", Rest.NOTHING),
        # What can follow leaves it what it is: "stop it", "help me", "go back a step".
        ("stop", Rest.NOTHING),
        ("help", Rest.NOTHING),
        ("go back", Rest.NOTHING),
        # All figures of a value that the gauge may show: a unit can follow.
        ("two niner five zero", Rest.UNIT),
        ("pressure three zero five zero", Rest.UNIT),
        ("second two niner five zero", Rest.UNIT),
        # The rest of a unit: per square inch, celsius.
        ("two niner five zero pounds", Rest.UNIT),
        ("two one degrees", Rest.UNIT),
        # Whole, and something else than itself can follow.
        ("pin fitted", Rest.MORE),  # and locked
        ("correction", Rest.MORE),  # and the value
        ("negative", Rest.MORE),  # two zero
        ("no", Rest.MORE),  # wait
        ("back to step four", Rest.MORE),  # two
        ("three thousand", Rest.MORE),  # two hundred
        ("two niner five five", Rest.MORE),  # finer than the scale: nothing is known of it
        ("seven zero zero zero zero", Rest.MORE),
        ("zero", Rest.MORE),  # an empty bottle
        # Whole, and no value that the gauge may show, but the beginning of one.
        ("two niner", Rest.LIKELY_MORE),
        ("pressure two niner", Rest.LIKELY_MORE),
        ("two niner five", Rest.LIKELY_MORE),
        ("second two niner", Rest.LIKELY_MORE),
        ("two niner five zero correction", Rest.LIKELY_MORE),
        ("two niner five zero correction three zero", Rest.LIKELY_MORE),
        # Not whole.
        ("pressure", Rest.BEGUN),
        ("two niner decimal", Rest.BEGUN),
        ("two niner five zero p s", Rest.BEGUN),
        ("cover", Rest.BEGUN),
        ("back to step", Rest.BEGUN),
        # None of it.
        ("the weather", None),
        ("pin removed", None),
    ],
)
def test_what_is_left_to_say_at_a_gauge(said: str, left: Rest | None) -> None:
    assert rest(said) is left


@pytest.mark.parametrize(
    ("said", "left"),
    [
        ("kilo zero four seven bravo", Rest.UNIT),  # five characters are expected
        ("kilo zero four seven", Rest.LIKELY_MORE),
        ("kilo zero four seven bravo two", Rest.MORE),
        ("serial number", Rest.BEGUN),
    ],
)
def test_a_number_is_likely_whole_at_its_length(said: str, left: Rest) -> None:
    assert rest(said, SERIAL) is left
    assert rest(said, replace(SERIAL, awaited=None)) in (left if left is Rest.BEGUN else Rest.MORE,)


@pytest.mark.parametrize(
    ("length", "left"),
    [
        (1, Rest.LIKELY_MORE),
        (3, Rest.LIKELY_MORE),
        (4, Rest.MORE),  # the shorter of two
        (5, Rest.LIKELY_MORE),
        (6, Rest.UNIT),
        (7, Rest.MORE),
    ],
)
def test_where_two_lengths_are_expected_only_the_longer_one_is_whole(
    length: int, left: Rest
) -> None:
    two = replace(SERIAL, awaited=Lengths(frozenset({4, 6})))
    assert rest("kilo " * length, two) is left


_BAR = replace(
    PRESSURE,
    phrases=(Reading(("pressure",), "bar"), *_FIXED),
    awaited=Scale.around(Decimal("0.5"), Decimal(10), Decimal(12)),
)
_COLD = replace(
    PRESSURE,
    phrases=(Reading(("temperature",), "degC"), *_FIXED),
    awaited=Scale.around(Decimal(1), Decimal(-40), Decimal(-20)),
)


@pytest.mark.parametrize(
    ("said", "phrases", "left"),
    [
        ("one one decimal five", _BAR, Rest.UNIT),
        ("one one point five", _BAR, Rest.UNIT),
        ("one one", _BAR, Rest.MORE),  # decimal five
        ("one", _BAR, Rest.LIKELY_MORE),  # one one
        ("minus two five", _COLD, Rest.UNIT),
        ("minus two", _COLD, Rest.LIKELY_MORE),
        # In groups a value is heard as a whole, and what follows is no figure of it.
        ("twenty nine", PRESSURE, Rest.MORE),
        ("twenty nine hundred", PRESSURE, Rest.MORE),  # fifty
    ],
)
def test_the_figures_of_a_value_are_those_that_are_said_one_by_one(
    said: str, phrases: PhraseSet, left: Rest
) -> None:
    assert rest(said, phrases) is left


def test_a_date_is_whole_with_its_year() -> None:
    assert rest("one five march two zero two seven", DUE) is Rest.NOTHING
    assert rest("one five march two zero", DUE) is Rest.LIKELY_MORE  # it is asked about by itself
    assert rest("one five march two zero two", DUE) is Rest.BEGUN


def test_a_value_that_must_be_said_twice_is_said_once_so_far() -> None:
    twice = replace(PRESSURE, phrases=(*PRESSURE.phrases, ReadingTwice(_READING)))
    once = "two niner five zero p s i"
    assert rest(once, twice) is Rest.LIKELY_MORE
    assert rest(f"{once} two niner five zero p s i", twice) is Rest.NOTHING


def test_without_limits_nothing_is_known_of_a_value_but_its_unit() -> None:
    unknown = replace(PRESSURE, awaited=None)
    assert rest("two niner", unknown) is Rest.MORE
    assert rest("two niner p s i", unknown) is Rest.NOTHING


def test_a_value_that_can_be_the_beginning_of_another_one_may_go_on() -> None:
    """Limits of 100 to 9,000 psi: 295 is within reach of them, and so are 2,950 to 2,959."""
    wide = replace(PRESSURE, awaited=Scale.around(Decimal(1), Decimal(100), Decimal(9000)))
    assert rest("two niner five", wide) is Rest.MORE
    assert rest("two niner five zero", wide) is Rest.UNIT
    assert rest("one two niner five", wide) is Rest.MORE  # 12,950 to 12,959


def test_a_value_after_which_other_words_than_a_unit_can_come_may_go_on() -> None:
    set_to = replace(PRESSURE, phrases=(*_FIXED, _READING, Confirmation("two niner five zero set")))
    assert rest("two niner five zero") is Rest.UNIT
    assert rest("two niner five zero", set_to) is Rest.MORE


def test_a_value_with_its_unit_is_whole_however_far_from_its_limits() -> None:
    assert rest("two niner p s i") is Rest.NOTHING


def test_a_remark_goes_on_from_any_phrase() -> None:
    """Of people who talk to each other, "go ahead" may be the first two words."""
    assert rest("go ahead", replace(FIXED, awaited=AnyWords())) is Rest.MORE


_TENTHS = Scale.around(Decimal("0.5"), Decimal(10), Decimal(12))


@pytest.mark.parametrize(
    ("figures", "scale", "goes_on"),
    [
        ("29", _GAUGE, True),
        ("295", _GAUGE, True),
        ("2950", _GAUGE, False),
        ("29500", _GAUGE, False),
        ("9", _GAUGE, False),  # from 900 to 990, and from 9,000 on: none from 1,400 to 6,400
        ("0", _GAUGE, False),
        ("11", _TENTHS, True),  # decimal five
        ("11.5", _TENTHS, False),
        ("1", _TENTHS, True),
        ("-1", Scale.around(Decimal(1), Decimal(-20), Decimal(50)), True),
        ("-15", Scale.around(Decimal(1), Decimal(-20), Decimal(50)), False),
        ("8", Scale.around(Decimal(1), Decimal(8), Decimal(8)), False),
    ],
)
def test_whether_a_value_may_have_more_figures(figures: str, scale: Scale, goes_on: bool) -> None:
    assert scale.may_go_on(figures) is goes_on


def scale(step: str, least: int, most: int) -> Scale:
    return Scale(Decimal(step), Decimal(least), Decimal(most))


@pytest.mark.parametrize(
    ("lowest", "highest", "least", "most"),
    [(100, 300, 50, 600), (-40, -20, -80, -10), (-20, 50, -40, 100), (0, 0, 0, 0)],
)
def test_a_gauge_may_show_from_half_its_lowest_limit_to_twice_its_highest(
    lowest: int, highest: int, least: int, most: int
) -> None:
    around = Scale.around(Decimal(10), Decimal(lowest), Decimal(highest))
    assert around == scale("10", least, most)


def test_a_gauge_may_show_its_marks_from_the_first_to_the_last() -> None:
    gauge = scale("10", 100, 300)
    shown = [each for each in range(85, 320, 5) if gauge.holds(Decimal(each))]
    assert shown == list(range(100, 301, 10))


@pytest.mark.parametrize(
    ("figures", "gauge", "goes_on"),
    [
        ("29", scale("1", 100, 290), True),  # 290 is the last mark
        ("29", scale("1", 100, 289), False),
        ("29", scale("1", 299, 999), True),
        ("29", scale("1", 300, 999), False),  # 300 begins otherwise
        ("29", scale("10", 300, 300), False),
        ("11.5", scale("0.5", 10, 400), False),  # nothing follows the last decimal
        ("11", scale("0.5", 10, 400), True),
        ("11.2", scale("0.05", 10, 20), True),
    ],
)
def test_the_beginning_of_the_first_and_of_the_last_mark_may_go_on(
    figures: str, gauge: Scale, goes_on: bool
) -> None:
    assert gauge.may_go_on(figures) is goes_on


_SCALES = st.builds(
    lambda step, low, span: Scale.around(step, low * step, (low + span) * step),
    st.sampled_from([Decimal(each) for each in ("0.05", "0.5", "1", "2", "10")]),
    st.integers(-300, 3000),
    st.integers(0, 500),
)


@given(_SCALES, st.data())
def test_every_beginning_of_a_value_within_reach_may_go_on(
    scale: Scale, data: st.DataObject
) -> None:
    """But zeros alone, which nobody says and then waits."""
    first = int(scale.least / scale.step) + 1
    last = int(scale.most / scale.step) - 1
    if last < first:
        return
    value = data.draw(st.integers(first, last)) * scale.step
    figures = f"{value:f}"
    if not scale.holds(value):
        return
    for length in range(1, len(figures)):
        beginning = figures[:length]
        if beginning[-1].isdigit() and beginning.strip("-0"):
            assert scale.may_go_on(beginning)


@given(_SCALES, st.integers(0, 99_999))
def test_what_goes_on_is_the_beginning_of_some_value_within_reach(
    scale: Scale, figures: int
) -> None:
    """Found by trying every value, as the arithmetic does not."""
    said = str(figures)
    longer = False
    at = int(scale.least / scale.step) - 1
    while at * scale.step <= scale.most and not longer:
        value = f"{at * scale.step:f}"
        longer = scale.holds(at * scale.step) and value.startswith(said) and value != said
        at += 1
    places = max(0, -int(scale.step.normalize().as_tuple().exponent))
    if longer and figures:
        assert scale.may_go_on(said)
    elif not places:
        assert not scale.may_go_on(said)


@cache
def _moves(phrases: PhraseSet) -> tuple[tuple[dict[str, int], ...], frozenset[int]]:
    language = language_of(each.automaton for each in phrases.phrases)
    return language.moves, language.finals


@given(st.sampled_from([PRESSURE, SERIAL, DUE, FIXED]), st.data())
def test_what_may_follow_is_what_the_language_of_the_set_allows(
    phrases: PhraseSet, data: st.DataObject
) -> None:
    """The minimal deterministic automaton is built in another way, and has the same words."""
    moves, finals = _moves(phrases)
    state, words = 0, []
    for _ in range(data.draw(st.integers(0, 8))):
        if not moves[state]:
            break
        words.append(data.draw(st.sampled_from(sorted(moves[state]))))
        state = moves[state][words[-1]]
    standing = phrases.standing(words)
    assert standing.is_whole is (state in finals)
    assert standing.may_follow == moves[state].keys()
    assert standing.is_begun is (state not in finals)


@given(st.data())
def test_after_what_is_whole_no_word_makes_another_thing_of_it_that_is_acted_on(
    data: st.DataObject,
) -> None:
    """Of whatever was heard, so a short silence may end it: all that follows takes it back."""
    moves, _ = _moves(PRESSURE)
    state, words = 0, []
    for _ in range(data.draw(st.integers(1, 7))):
        if not moves[state]:
            break
        words.append(data.draw(st.sampled_from(sorted(moves[state]))))
        state = moves[state][words[-1]]
        if rest_of(tuple(words), PRESSURE) is Rest.NOTHING:
            meaning = PRESSURE.parse(words)
            for each in sorted(PRESSURE.standing(words).may_follow):
                further = PRESSURE.parse((*words, each))
                if further == meaning or not isinstance(further, Understood):
                    continue
                if isinstance(further.meaning, Stated):
                    assert further.meaning.corrects


@given(st.integers(1400, 6400).map(lambda each: each // 10 * 10), st.data())
def test_half_of_a_value_is_never_taken_for_all_of_it(value: int, data: st.DataObject) -> None:
    figures = str(value)
    half = figures[: data.draw(st.integers(1, len(figures) - 1))]
    assert rest(speak_figures(half)) is Rest.LIKELY_MORE


@given(st.sampled_from(sorted(number().vocabulary)))
def test_no_single_word_of_a_number_is_all_of_it(word: str) -> None:
    assert rest(word) in (Rest.LIKELY_MORE, Rest.MORE, Rest.BEGUN, None)


def test_states_are_told_apart_by_all_their_words() -> None:
    automaton: Automaton = _READING.automaton
    assert automaton.reached_by(()) == {0}
    assert automaton.reached_by(("weather",)) == frozenset()
    assert automaton.may_follow(()) == frozenset()
