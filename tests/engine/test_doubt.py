"""What is kept of utterances that were not believed, and which of it is offered."""

from dataclasses import replace
from datetime import timedelta

import pytest

from handsfree.engine.doubt import Doubt, Offer, Try, Wording, wordings_of
from handsfree.engine.trust import LEAST_OF_A_WORD
from handsfree.engine.waiting import Answering
from handsfree.words.heard import Heard
from handsfree.words.meanings import Meaning, Spoke, Stated, Understood
from handsfree.words.phrases import CasualWords, Confirmation, PhraseSet, Reading, Standard
from handsfree.words.standard import StandardWord
from tests.engine.conversation import heard

ONE, OTHER = (Wording((each,), Stated(each)) for each in ("2950", "2960"))
PHRASES = PhraseSet(
    (
        Reading(("pressure",), "psi"),
        Confirmation("pin fitted"),
        CasualWords(),
        *map(Standard, StandardWord),
    )
)


def doubt(*tries: tuple[tuple[Wording, ...], float], denied: tuple[Meaning, ...] = ()) -> Doubt:
    return Doubt(tries=tuple(Try(*each) for each in tries), count=len(tries), denied=denied)


def test_what_two_utterances_may_have_said_is_offered_and_what_one_may_is_not() -> None:
    assert doubt(((ONE,), 0.9)).best_to_offer() is None
    assert doubt(((ONE,), 0.9), ((OTHER,), 0.9)).best_to_offer() is None
    assert doubt(((ONE,), 0.1), ((OTHER,), 0.9), ((ONE,), 0.1)).best_to_offer() == ONE


def test_what_was_heard_most_often_is_offered_and_then_what_was_heard_most_surely() -> None:
    often = doubt(((OTHER,), 0.6), ((OTHER,), 0.6), *[((ONE,), 0.1)] * 3)
    assert often.best_to_offer() == ONE
    surely = doubt(((ONE,), 0.2), ((OTHER,), 0.1), ((ONE,), 0.2), ((OTHER,), 0.3))
    assert surely.best_to_offer() == OTHER


def test_an_utterance_of_which_all_was_denied_hides_none_behind_it() -> None:
    denied = doubt(((ONE,), 0.5), ((OTHER,), 0.1), ((OTHER,), 0.1), denied=(ONE.meaning,))
    assert denied.best_to_offer() == OTHER
    assert denied.heard_as(OTHER.meaning) == 2
    assert denied.heard_as(ONE.meaning) == 0


def test_the_next_best_takes_the_place_of_what_was_denied() -> None:
    both = [((ONE, OTHER), 0.1)] * 2
    assert doubt(*both).best_to_offer() == ONE
    assert doubt(*both, denied=(ONE.meaning,)).best_to_offer() == OTHER
    assert doubt(*both, denied=(ONE.meaning, OTHER.meaning)).best_to_offer() is None


def test_what_was_denied_is_offered_no_more_and_counts_as_one_saying_more() -> None:
    offered = replace(doubt(((ONE,), 0.1)), offer=Offer(ONE, 1), in_all=3)
    left = offered.denying()
    assert (left.denied, left.offer, left.in_all) == ((ONE.meaning,), None, 4)
    assert left.denying() == left  # nothing is offered that could be denied


def test_only_what_most_likely_says_the_offer_again_says_it_again() -> None:
    offered = replace(doubt(), offer=Offer(ONE, 1))
    assert offered.is_offered((ONE, OTHER))
    assert not offered.is_offered((OTHER, ONE))
    assert not offered.is_offered(())
    assert not doubt().is_offered((ONE,))


@pytest.mark.parametrize(
    ("words", "lasting_ms", "tries", "slow"),
    [
        ("two niner", 1200, 2, True),  # 600 ms for each word
        ("two niner", 1199, 2, False),
        ("two niner", 9000, 1, False),  # nobody asked for it
        ("", 600, 2, True),
    ],
)
def test_only_who_was_asked_to_speak_slowly_and_does_is_slow(
    words: str, lasting_ms: int, tries: int, slow: bool
) -> None:
    said = replace(heard(words), ended=timedelta(milliseconds=lasting_ms))
    assert Doubt(count=tries).is_slow(said) is slow


def test_what_says_nothing_counts_and_is_not_kept() -> None:
    left = Doubt(count=1, in_all=2).with_try((), heard("", 0.0))
    assert (left.count, left.in_all, left.tries) == (2, 3, ())
    kept = left.with_try((ONE,), heard("two", 0.3))
    assert (kept.count, kept.in_all, kept.tries) == (3, 4, (Try((ONE,), 0.3),))


def kept(words: str, score: float = 0.5, *others: str) -> list[str]:
    alternatives = tuple(tuple(each.split()) for each in others)
    said = Heard(tuple(words.split()), score, alternatives, (), timedelta(0), timedelta(0))
    found = wordings_of(said, PHRASES.parse(said.words), PHRASES)
    assert all(PHRASES.parse(each.words) == Understood(each.meaning) for each in found)
    return [" ".join(each.words) for each in found]


def test_a_word_is_kept_from_a_tenth_and_a_value_however_faint() -> None:
    assert LEAST_OF_A_WORD == 0.1
    assert kept("affirm", 0.1) == ["affirm"]
    assert kept("affirm", 0.099) == []
    assert kept("two niner", 0.0) == ["two niner"]
    assert kept("pin fitted", 0.0) == ["pin fitted"]


def test_what_means_nothing_or_two_things_is_not_kept() -> None:
    assert kept("okay") == []
    assert kept("the weather") == []
    assert kept("fifty two nineteen") == []


def test_four_of_the_next_best_are_looked_at_and_of_them_answers_are_kept() -> None:
    numbers = ("three", "four", "five", "six", "seven")
    assert kept("two", 0.5, *numbers) == ["two", *numbers[:4]]
    assert kept("two", 0.5, "affirm", "fifty two nineteen", "pin fitted") == ["two", "pin fitted"]
    assert kept("affirm", 0.5, "two") == ["affirm", "two"]


def test_answers_are_held_against_each_other_and_other_words_only_against_themselves() -> None:
    again = Wording(("say", "again"), Spoke(StandardWord.SAY_AGAIN))
    affirm = Wording(("affirm",), Spoke(StandardWord.AFFIRM))
    now, negative = heard("two", 0.85), Spoke(StandardWord.NEGATIVE)
    for before in (again, affirm):
        assert doubt(((before,), 0.5)).belief(ONE.meaning, now, 0.85) == 0.85
    assert doubt(((again,), 0.5)).belief(negative, now, 0.85) == 0.85
    assert doubt(((affirm,), 0.5)).belief(negative, now, 0.85) < 0.85
    assert doubt(((OTHER,), 0.5)).belief(ONE.meaning, now, 0.85) < 0.85
    assert doubt(((ONE,), 0.85)).belief(ONE.meaning, now, 0.85) > 0.85


def test_what_was_denied_is_held_against_nothing() -> None:
    denied = doubt(((OTHER,), 0.5), denied=(OTHER.meaning,))
    assert denied.belief(ONE.meaning, heard("two", 0.85), 0.85) == 0.85


def test_a_doubt_is_of_one_question() -> None:
    asked = Doubt((1, Answering(), None), count=2)
    assert asked.about((1, Answering(), None)) == asked
    for other in ((2, Answering(), None), (1, Answering(), 2)):
        assert asked.about(other) == Doubt(other)
