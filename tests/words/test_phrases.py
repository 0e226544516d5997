"""Phrase sets: what can be heard is what can be understood."""

import string

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.words.alphabet import LETTER_WORDS, speak_characters
from handsfree.words.meanings import (
    Ambiguous,
    BySecond,
    Confirmed,
    Dated,
    Identified,
    NotUnderstood,
    Ordered,
    Spoke,
    Stated,
    Understood,
)
from handsfree.words.phrases import (
    BUILT_IN,
    Confirmation,
    Date,
    Identity,
    Order,
    Phrase,
    PhraseSet,
    Reading,
    ReadingTwice,
    Seconded,
    Standard,
)
from handsfree.words.plain import PlainWord
from handsfree.words.spoken_numbers import speak_figures
from handsfree.words.standard import StandardWord
from handsfree.words.units import UNITS, any_unit

PRESSURE = PhraseSet(
    (
        Reading(("pressure", "gauge"), "psi"),
        Confirmation("safety pin fitted"),
        *(Standard(word) for word in StandardWord),
    )
)
SERIAL = PhraseSet((Identity(("serial number",)),))


def meaning(phrases: PhraseSet, said: str) -> object:
    parsed = phrases.parse(said.split())
    return parsed.meaning if isinstance(parsed, Understood) else parsed


@pytest.mark.parametrize(
    "said",
    [
        "two niner five zero",
        "pressure two niner five zero",
        "gauge two niner five zero",
        "two thousand nine hundred fifty",
    ],
)
def test_the_name_of_a_reading_may_be_left_out(said: str) -> None:
    assert meaning(PRESSURE, said) == Stated("2950")


def test_the_unit_of_a_reading_is_heard_as_said() -> None:
    assert meaning(PRESSURE, "two niner five zero p s i") == Stated("2950", "psi")
    assert meaning(PRESSURE, "two hundred bar") == Stated("200", "bar")


def test_plain_degrees_are_those_that_were_asked_for() -> None:
    fahrenheit = PhraseSet((Reading(("temperature",), "degF"),))
    assert meaning(fahrenheit, "nine five degrees") == Stated("95", "degF")
    assert meaning(PRESSURE, "nine five degrees") == Stated("95", "degC")


def test_correction_before_a_value_marks_it() -> None:
    assert meaning(PRESSURE, "correction pressure three zero five zero") == Stated(
        "3050", corrects=True
    )


@pytest.mark.parametrize("word", StandardWord)
def test_every_standard_word_means_itself(word: StandardWord) -> None:
    for spelling in word.spellings:
        assert meaning(PRESSURE, spelling) == Spoke(word)


def test_a_confirmation_is_word_for_word() -> None:
    assert meaning(PRESSURE, "safety pin fitted") == Confirmed("safety pin fitted")
    assert meaning(PRESSURE, "pin fitted") == NotUnderstood(("pin", "fitted"))


def test_words_with_two_meanings_are_asked_about() -> None:
    both = PhraseSet((Reading(("count",), "each"), Identity(("count",))))
    assert both.parse(["four"]) == Ambiguous("those words have two meanings here")


def test_an_identity_mixes_letters_and_figures() -> None:
    """ICAO Annex 10 Vol II, figure 5-1."""
    assert meaning(SERIAL, "serial number kilo zero four seven bravo") == Identified("K047B")


@given(st.text(string.ascii_uppercase + string.digits, min_size=1, max_size=12))
def test_an_identity_spoken_back_is_heard_as_itself(characters: str) -> None:
    assert meaning(SERIAL, speak_characters(characters)) == Identified(characters)


@pytest.mark.parametrize(
    "said", ["kilo dash four seven", "kilo four hyphen seven", "kilo four seven"]
)
def test_a_hyphen_may_be_said_in_an_identity_and_adds_nothing(said: str) -> None:
    assert meaning(SERIAL, said) == Identified("K47")


@pytest.mark.parametrize("said", ["dash", "dash kilo", "kilo dash", "kilo dash hyphen four"])
def test_a_hyphen_stands_between_two_characters(said: str) -> None:
    assert isinstance(SERIAL.parse(said.split()), NotUnderstood)


def test_the_alphabet_has_every_letter_once() -> None:
    assert "".join(LETTER_WORDS) == string.ascii_uppercase
    said = [spelling for spellings in LETTER_WORDS.values() for spelling in spellings]
    assert len(set(said)) == len(said)


@pytest.mark.parametrize("own", UNITS)
def test_no_unit_is_said_like_another(own: str) -> None:
    """A temperature and a difference of temperatures are said alike, but never both asked for."""
    for unit in UNITS.values():
        for said in unit.said:
            assert len(any_unit(own, "").readings_of(said.split())) == 1


@given(st.lists(st.sampled_from(sorted(PRESSURE.vocabulary)), max_size=10))
def test_any_words_of_the_vocabulary_give_an_answer(words: list[str]) -> None:
    assert isinstance(PRESSURE.parse(words), Understood | Ambiguous | NotUnderstood)


def test_what_was_parsed_is_forgotten_again_and_means_the_same_then() -> None:
    """A run of a day hears very many sayings with the phrase set of one step."""
    phrases = PhraseSet((Reading(("pressure",), "psi"),))
    for figures in (f"{number:03d}" for number in range(1000)):
        for _ in range(2):
            assert meaning(phrases, speak_figures(figures)) == Stated(figures)
    assert len(phrases._parsed) <= 64


def test_what_is_said_again_and_again_is_parsed_once() -> None:
    phrases = PhraseSet((Reading(("pressure",), "psi"),))
    said = [speak_figures(str(number)).split() for number in range(30)]
    first = [phrases.parse(each) for each in said]
    assert all(phrases.parse(each) is before for each, before in zip(said, first, strict=True))


# Corrections inside an utterance.


def test_the_last_value_of_an_utterance_counts_and_the_one_before_is_kept() -> None:
    assert meaning(PRESSURE, "gauge two niner correction three zero five zero") == Stated(
        "3050", corrects=True, replaces=(Stated("29"),)
    )


def test_a_value_can_be_corrected_more_than_once() -> None:
    assert meaning(PRESSURE, "two correction three psi correction four") == Stated(
        "4", corrects=True, replaces=(Stated("2"), Stated("3", "psi"))
    )


def test_a_correction_that_stumbles_is_still_one() -> None:
    assert meaning(PRESSURE, "two correction correction three") == Stated(
        "3", corrects=True, replaces=(Stated("2"),)
    )


def test_a_correction_without_its_value_is_asked_about() -> None:
    said = ["two", "niner", "correction"]
    assert PRESSURE.parse(said) == Ambiguous("a correction needs the value after it")
    assert SERIAL.parse(said) == Ambiguous("a correction needs the value after it")


def test_only_correction_is_a_standard_word_and_no_value() -> None:
    assert meaning(PRESSURE, "correction") == Spoke(StandardWord.CORRECTION)


def test_an_identity_can_be_corrected_too() -> None:
    assert meaning(SERIAL, "kilo zero four correction kilo zero five") == Identified(
        "K05", corrects=True, replaces=("K04",)
    )


def test_a_correction_may_come_first_and_then_replaces_nothing_of_its_own() -> None:
    assert meaning(SERIAL, "correction kilo four") == Identified("K4", corrects=True)
    due = PhraseSet((Date(("due",)),))
    assert meaning(due, "correction one six march two zero two seven") == Dated(
        "2027-03-16", corrects=True
    )


def test_digit_pairs_that_were_corrected_do_not_matter() -> None:
    assert meaning(PRESSURE, "fifty two nineteen correction five two one niner") == Stated(
        "5219", corrects=True
    )


@given(st.lists(st.sampled_from(sorted(BUILT_IN["number"].vocabulary)), max_size=12))
def test_a_plain_number_means_the_same_as_a_reading(words: list[str]) -> None:
    """What opens a correction is a word of its own, so no other wording has changed."""
    plain = BUILT_IN["number"].parse(words)
    asked = PhraseSet((Reading(("pressure",), "psi", digit_pairs=True),)).parse(words)
    assert plain == asked


def test_what_a_task_does_not_allow_cannot_be_heard() -> None:
    """Each word more can be heard where it was not said."""
    plain = Reading(("pressure",), "psi").automaton.vocabulary
    special = {"double", "triple", "half", "sixteenths", "an", "of", "again"}
    assert plain.isdisjoint(special)
    assert BUILT_IN["number"].vocabulary < plain
    assert Identity(("serial",)).automaton.vocabulary.isdisjoint(special)


# "Double" and "triple" figures.


def test_double_and_triple_figures_are_heard_only_where_the_task_allows() -> None:
    allowed = PhraseSet((Reading(("pressure",), "psi", repeats=True),))
    assert meaning(allowed, "two double four triple zero") == Stated("244000")
    assert meaning(allowed, "decimal double five") == Stated(".55")
    assert isinstance(PRESSURE.parse(["two", "double", "four"]), NotUnderstood)
    serial = PhraseSet((Identity(("serial number",), repeats=True),))
    assert meaning(serial, "kilo double zero seven bravo") == Identified("K007B")
    assert isinstance(SERIAL.parse(["kilo", "double", "zero"]), NotUnderstood)


@given(st.lists(st.sampled_from(["double", "triple", "two", "niner", "ten", "forty"]), max_size=9))
def test_doubled_figures_have_at_most_one_meaning(words: list[str]) -> None:
    allowed = PhraseSet((Reading(("pressure",), "psi", digit_pairs=True, repeats=True),))
    assert not isinstance(allowed.parse(words), Ambiguous)


# "Words twice" (ICAO Doc 9432, 2.6).

ONCE = Reading(("pressure",), "psi")
TWICE = PhraseSet((ONCE, ReadingTwice(ONCE)))


@pytest.mark.parametrize(
    "said",
    [
        "two two p s i two two p s i",
        "two two p s i two two",
        "pressure two two pressure two two",
        "two two i say again two two",
        "pressure two two p s i i say again pressure two two p s i",
        "twenty two p s i two two p s i",
    ],
)
def test_a_value_said_twice_is_heard_as_said_twice(said: str) -> None:
    stated = meaning(TWICE, said)
    assert isinstance(stated, Stated)
    assert (stated.figures, stated.twice) == ("22", True)


@pytest.mark.parametrize(
    "said",
    ["two p s i three p s i", "two two i say again two", "two p s i two bar"],
)
def test_two_values_that_are_not_the_same_are_asked_about(said: str) -> None:
    assert TWICE.parse(said.split()) == Ambiguous("the two values are not the same")


@pytest.mark.parametrize(
    "said",
    [
        "fifty two nineteen p s i five two one niner",
        "five two one niner p s i fifty two nineteen",
        "fifty two nineteen p s i fifty two nineteen",
    ],
)
def test_where_one_of_two_values_is_unclear_it_is_asked_about(said: str) -> None:
    assert TWICE.parse(said.split()) == Ambiguous("digit pairs can be two numbers, say each digit")


def test_the_unit_of_a_value_said_twice_may_stand_with_either() -> None:
    for said in ("two p s i two", "two i say again two p s i", "two p s i two p s i"):
        assert meaning(TWICE, said) == Stated("2", "psi", twice=True)


def test_a_value_said_once_is_never_taken_for_one_said_twice() -> None:
    """Without a word between them, "two two" would be two said twice."""
    assert meaning(TWICE, "two two") == Stated("22")
    assert meaning(TWICE, "two two two two") == Stated("2222")


def test_a_value_said_twice_can_replace_the_one_before() -> None:
    assert meaning(TWICE, "correction two p s i two p s i") == Stated(
        "2", "psi", corrects=True, twice=True
    )


# Two scales.


def test_with_two_scales_a_value_without_its_unit_is_asked_about() -> None:
    both = PhraseSet((Reading(("temperature",), "degC", other_scales=("degF",)),))
    reason = Ambiguous("there are two scales, say the unit")
    assert both.parse(["two", "zero"]) == reason
    assert both.parse(["two", "zero", "degrees"]) == reason
    assert meaning(both, "two zero degrees fahrenheit") == Stated("20", "degF")


def test_a_difference_is_said_in_the_words_of_a_temperature() -> None:
    asked = PhraseSet((Reading(("rise",), "delta_degC"),))
    assert meaning(asked, "nine degrees") == Stated("9", "delta_degC")
    assert meaning(asked, "nine degrees fahrenheit") == Stated("9", "delta_degF")


# Refusals say why.


@pytest.mark.parametrize(
    ("said", "reason"),
    [
        ("", "nothing was said"),
        ("p s i", "a unit needs its number"),
        ("pin fitted", "these words are none of the phrases that fit here"),
    ],
)
def test_what_is_not_understood_has_its_reason(said: str, reason: str) -> None:
    assert PRESSURE.parse(said.split()) == NotUnderstood(tuple(said.split()), reason)


def test_words_are_told_apart_by_what_they_mean() -> None:
    """Words with two meanings are a meaning of their own, and what is no phrase has none."""
    pairs = ("fifty", "two", "nineteen")
    assert PRESSURE.meaning_of(("two",)) == Stated("2") == PRESSURE.meaning_of(("gauge", "two"))
    assert PRESSURE.meaning_of(pairs) == pairs
    assert PRESSURE.meaning_of(("pin", "fitted")) is None


@pytest.mark.parametrize(
    ("phrase", "holds"),
    [
        (ONCE, True),
        (ReadingTwice(ONCE), True),
        (Seconded(ONCE), True),
        (Identity(("serial",)), True),
        (Date(("due",)), True),
        (*BUILT_IN["number"].phrases, True),
        (Confirmation("pin fitted"), False),
        (Standard(StandardWord.AFFIRM), False),
        (Order(PlainWord.BACK_TO_STEP), False),
    ],
)
def test_a_set_holds_values_where_a_number_a_date_or_an_identity_can_be_said(
    phrase: Phrase, holds: bool
) -> None:
    assert PhraseSet((Confirmation("safety pin fitted"), phrase)).holds_values is holds


EVERY_KIND = PhraseSet(
    (
        Reading(("length", "gap"), "in", True, True, True, ("mm",)),
        ReadingTwice(Reading(("length", "gap"), "in", True, True, True, ("mm",))),
        Identity(("serial number",), repeats=True),
        Confirmation("safety pin fitted"),
        *(Standard(word) for word in StandardWord),
    )
)


@given(
    st.lists(
        st.sampled_from([*sorted(EVERY_KIND.vocabulary), "zwei", "", "½", "2950"]), max_size=16
    )
)
def test_any_words_give_a_meaning_a_question_or_a_refusal_with_its_reason(words: list[str]) -> None:
    parsed = EVERY_KIND.parse(words)
    if isinstance(parsed, Understood):
        if isinstance(parsed.meaning, Stated):
            assert parsed.meaning.value.is_finite()
    else:
        assert parsed.reason


# Plain words, and the second person.


def test_an_order_takes_its_whole_number_digit_by_digit_or_in_groups() -> None:
    phrases = PhraseSet((Order(PlainWord.BACK_TO_STEP), Order(PlainWord.WHERE_AM_I)))
    assert phrases.parse(["back", "to", "step", "one", "four"]) == Understood(
        Ordered(PlainWord.BACK_TO_STEP, 14)
    )
    assert phrases.parse(["where", "am", "i"]) == Understood(Ordered(PlainWord.WHERE_AM_I))
    assert isinstance(phrases.parse(["back", "to", "step"]), NotUnderstood)
    assert isinstance(phrases.parse(["back", "to", "step", "minus", "one"]), NotUnderstood)


def test_second_said_first_makes_a_value_that_of_the_second_person() -> None:
    asked = Reading(("pressure",), "psi")
    phrases = PhraseSet((asked, Seconded(asked)))
    assert phrases.parse(["pressure", "two", "niner"]) == Understood(Stated("29"))
    assert phrases.parse(["second", "pressure", "two", "niner", "p", "s", "i"]) == Understood(
        BySecond(Stated("29", "psi"))
    )
    assert isinstance(phrases.parse(["second"]), NotUnderstood)
    assert isinstance(phrases.parse(["second", "fifty", "two", "nineteen"]), Ambiguous)


def test_second_said_first_is_no_unit_of_time_before_or_after() -> None:
    asked = Reading(("time",), "s")
    phrases = PhraseSet((asked, Seconded(asked)))
    assert phrases.parse(["second", "five", "second"]) == Understood(BySecond(Stated("5", "s")))
    assert phrases.parse(["five", "second"]) == Understood(Stated("5", "s"))


def test_figures_may_follow_a_pair_of_digits() -> None:
    pairs = PhraseSet((Reading(("pressure",), "psi", digit_pairs=True),))
    assert meaning(pairs, "fifty two one nine") == Stated("5219")
    assert meaning(pairs, "fifty two nineteen") == Stated("5219")
    assert meaning(pairs, "fifty zero two") == Stated("5002")
