"""What people say in place of the standard words. Common practice, no source, but where one stands.

The examples are those of people who were tired, and of our own; the forms of numbers are ordinary
English.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.words.everyday import CASUAL, TAKES_BACK
from handsfree.words.meanings import (
    Ambiguous,
    Asked,
    Casual,
    Confirmed,
    Dated,
    Identified,
    Negated,
    NotUnderstood,
    Ordered,
    Spoke,
    Stated,
    TookBack,
    Understood,
    only_waits,
)
from handsfree.words.phrases import (
    BUILT_IN,
    CasualWords,
    Confirmation,
    Date,
    Identity,
    Negations,
    Order,
    Phrase,
    PhraseSet,
    Query,
    Reading,
    Standard,
    Taken,
)
from handsfree.words.plain import PlainWord
from handsfree.words.questions import Question
from handsfree.words.spoken_numbers import speak_in_groups
from handsfree.words.standard import StandardWord

PHRASES = ("bottle pin fitted", "window is green", "no leaks found", "done")
COMMANDS = tuple(
    spelling for each in (*StandardWord, *PlainWord) for spelling in each.spellings[:1]
)
FIXED: tuple[Phrase, ...] = (
    *(Confirmation(each) for each in PHRASES),
    *(Standard(each) for each in StandardWord),
    *(Order(each) for each in PlainWord),
    *(Query(each) for each in Question if each is not Question.READING),
    Query(Question.READING, ("torque", "bottle temperature")),
    Taken(),
    CasualWords(),
    Negations((*PHRASES, *COMMANDS)),
)
PRESSURE = PhraseSet((Reading(("pressure", "gauge"), "psi"), *FIXED))
IDENTITY = PhraseSet((Identity(("part number",)), *FIXED))
DATE = PhraseSet((Date(("calibration due",)), *FIXED))


def meaning(said: str, phrases: PhraseSet = PRESSURE) -> object:
    parsed = phrases.parse(said.split())
    return parsed.meaning if isinstance(parsed, Understood) else parsed


@pytest.mark.parametrize("said", CASUAL)
def test_what_people_say_without_looking_means_nothing(said: str) -> None:
    assert meaning(said) == (Confirmed("done") if said == "done" else Casual())
    assert meaning(f"{said} {said} okay") == Casual()


@pytest.mark.parametrize("said", TAKES_BACK)
def test_nothing_counts_of_what_was_taken_back(said: str) -> None:
    for each in (
        said,
        f"{said} three thousand",
        f"two nine eight zero {said} three thousand p s i",
    ):
        assert meaning(each) == TookBack()
    assert meaning(f"victor kilo {said} four", IDENTITY) == TookBack()
    assert meaning(f"one five march two zero two seven {said}", DATE) == TookBack()


def test_only_correction_puts_one_value_in_the_place_of_another() -> None:
    assert meaning("two nine correction three zero") == Stated("30", None, True, (Stated("29"),))
    assert meaning("two nine correction three zero sorry three one") == TookBack()
    assert meaning("not two nine eight zero") == TookBack()
    assert meaning("no two nine eight zero") == TookBack()


@pytest.mark.parametrize(
    ("said", "phrase"),
    [
        ("bottle pin not fitted", "bottle pin fitted"),
        ("bottle pin is not fitted", "bottle pin fitted"),
        ("bottle pin isn't fitted", "bottle pin fitted"),
        ("no bottle pin fitted", "bottle pin fitted"),
        ("bottle no pin fitted", "bottle pin fitted"),
        ("bottle pin fitted not", "bottle pin fitted"),
        ("window isn't green", NotUnderstood(("window", "isn't", "green"))),
        ("window is not green", "window is green"),
        ("leaks found", "no leaks found"),
        ("not no leaks found", "no leaks found"),
        ("don't go ahead", "go ahead"),
        ("do not go ahead", "go ahead"),
        ("not affirm", "affirm"),
        ("don't stop", "stop"),
        ("never hand over", "hand over"),
    ],
)
def test_a_phrase_with_a_not_in_it_is_another_one(said: str, phrase: object) -> None:
    assert meaning(said) == (Negated(phrase) if isinstance(phrase, str) else phrase)


@given(st.sampled_from((*PHRASES, *COMMANDS)), st.integers(0, 5), st.sampled_from(("not", "no")))
def test_no_negation_anywhere_leaves_a_phrase_what_it_was(
    phrase: str, at: int, negation: str
) -> None:
    words = phrase.split()
    said = [*words[:at], negation, *words[at:]]
    parsed = PRESSURE.parse(said)
    assert isinstance(parsed, Understood)
    assert parsed.meaning != Confirmed(phrase)
    harmless = (TookBack(), Ordered(PlainWord.STOP), Casual())
    assert isinstance(parsed.meaning, Negated) or parsed.meaning in harmless


def test_a_phrase_of_the_task_is_itself_though_it_is_another_one_negated() -> None:
    both = ("pin fitted", "pin not fitted")
    phrases = PhraseSet((*map(Confirmation, both), Negations(both)))
    assert meaning("pin not fitted", phrases) == Confirmed("pin not fitted")
    assert meaning("pin fitted", phrases) == Confirmed("pin fitted")
    assert meaning("pin not not fitted", phrases) == Negated("pin not fitted")


def test_a_phrase_with_a_not_of_its_own_is_turned_round_by_leaving_it_out() -> None:
    own = PhraseSet((Negations(("not fitted", "no", "seal is not broken")),))
    assert meaning("fitted", own) == Negated("not fitted")
    assert meaning("seal is broken", own) == Negated("seal is not broken")
    assert meaning("not no", own) == Negated("no")
    assert isinstance(meaning("seal not broken", own), NotUnderstood)


@pytest.mark.parametrize(
    ("said", "word"),
    [
        ("repeat", StandardWord.SAY_AGAIN),
        ("what was that", StandardWord.SAY_AGAIN),
        ("pardon", StandardWord.SAY_AGAIN),
        ("come again", StandardWord.SAY_AGAIN),
        ("wait", StandardWord.STAND_BY),
        ("hold on", StandardWord.STAND_BY),
        ("pause", StandardWord.STAND_BY),
        ("one moment", StandardWord.STAND_BY),
    ],
)
def test_what_is_harmless_has_everyday_words(said: str, word: StandardWord) -> None:
    assert meaning(said) == Spoke(word)


@pytest.mark.parametrize(
    ("said", "word"),
    [
        ("stop", PlainWord.STOP),
        ("no stop", PlainWord.STOP),
        ("help", PlainWord.HELP),
        ("what can i say", PlainWord.HELP),
        ("go back", PlainWord.GO_BACK),
        ("where are we", PlainWord.WHERE_AM_I),
    ],
)
def test_orders_have_everyday_words(said: str, word: PlainWord) -> None:
    assert meaning(said) == Ordered(word)


def test_what_moves_the_work_on_has_no_everyday_words() -> None:
    """FAA Pilot/Controller Glossary: "affirmative" is the standard word, written in full."""
    assert StandardWord.AFFIRM.spellings == ("affirm", "affirmative")
    for word in (StandardWord.GO_AHEAD, StandardWord.UNABLE, StandardWord.NEGATIVE):
        assert word.spellings == (word.value,)


@pytest.mark.parametrize(
    ("said", "question"),
    [
        ("what is the limit", Asked(Question.LIMIT)),
        ("what's the limit", Asked(Question.LIMIT)),
        ("what are the limits", Asked(Question.LIMIT)),
        ("what is the warning", Asked(Question.WARNING)),
        ("which tool", Asked(Question.TOOL)),
        ("what part number", Asked(Question.PART_NUMBER)),
        ("what was the last reading", Asked(Question.LAST_READING)),
        ("how many steps left", Asked(Question.STEPS_LEFT)),
        ("what's next", Asked(Question.WHAT_NEXT)),
        ("what is the torque", Asked(Question.READING, "torque")),
        ("what was the bottle temperature", Asked(Question.READING, "bottle temperature")),
    ],
)
def test_a_question_is_heard_with_what_it_is_about(said: str, question: Asked) -> None:
    assert meaning(said) == question


# Numbers as people say them.


@pytest.mark.parametrize(
    ("said", "figures"),
    [
        ("it's two nine eight zero", "2980"),
        ("it reads two nine eight zero", "2980"),
        ("the pressure is two nine eight zero p s i", "2980"),
        ("gauge reads two nine eight zero", "2980"),
        ("three thousand even", "3000"),
        ("exactly three thousand", "3000"),
        ("a hundred and five", "105"),
        ("a thousand", "1000"),
        ("minus four", "-4"),
        ("point four five", ".45"),
        ("thirty hundred", "3000"),
        ("twenty nine hundred fifty", "2950"),
    ],
)
def test_a_number_as_people_say_it_is_understood(said: str, figures: str) -> None:
    found = meaning(said)
    assert isinstance(found, Stated)
    assert found.figures == figures


@pytest.mark.parametrize(
    "said",
    [
        *("about three thousand", "just under three thousand", "nearly two nine eight zero"),
        *("three thousand or so", "pressure is around three thousand p s i", "i think two nine"),
    ],
)
def test_what_is_no_figure_of_the_scale_is_asked_about(said: str) -> None:
    assert meaning(said) == Ambiguous("say the figure that the scale shows")


def test_negative_before_a_figure_is_asked_about() -> None:
    """It is "minus four" to some people, and "that is wrong, it is four" to the standard."""
    expected = Ambiguous("say minus for below zero, or correction and the value")
    assert meaning("negative four") == expected


def test_minus_eight_needs_its_unit_for_my_mistake_sounds_like_it() -> None:
    """To both listeners, by most of the strange voices that say "my mistake"."""
    below_zero = PhraseSet((Reading(("temperature",), "degC"), *FIXED))
    asked = Ambiguous("minus eight sounds like my mistake, say the unit too")
    for said in ("minus eight", "temperature minus eight", "correction minus eight"):
        assert meaning(said, below_zero) == asked
    assert meaning("minus eight degrees celsius", below_zero) == Stated("-8", "degC")
    for said, figures in (("minus seven", "-7"), ("eight", "8"), ("minus one eight", "-18")):
        assert meaning(said, below_zero) == Stated(figures, None)
    assert meaning("my mistake", below_zero) == TookBack()


def test_pounds_are_p_s_i_where_those_are_asked_for_and_nowhere_else() -> None:
    assert meaning("three thousand pounds") == Stated("3000", "psi")
    in_bar = PhraseSet((Reading(("pressure",), "bar"),))
    assert meaning("three thousand pounds", in_bar) == Stated("3000", "lbf")


@pytest.mark.parametrize(
    ("said", "alike"),
    [
        ("fifteen", ("50",)),
        ("fifty", ("15",)),
        ("eighty", ("18",)),
        ("three thousand fifty", ("3015",)),
        ("fifteen thousand", ("50000",)),
        ("thirteen hundred and sixty", ("1316", "3060", "3016")),
        ("zero decimal fifteen", ()),  # digit pairs, which are asked about
        ("one five", ()),
        ("twenty", ()),
        ("twelve", ()),
        ("fifty two", ()),
        ("five hundred", ()),
        ("three thousand", ()),
    ],
)
def test_teens_and_tens_sound_alike_unless_each_figure_is_said(
    said: str, alike: tuple[str, ...]
) -> None:
    """Of seven voices one "fifty" was taken for "fifteen" at 0.997: our own measurement."""
    found = meaning(said)
    assert (found.alike if isinstance(found, Stated) else ()) == alike


@given(st.integers(0, 999_999))
def test_a_number_in_groups_is_heard_as_itself(number: int) -> None:
    parsed = BUILT_IN["number"].parse(speak_in_groups(str(number)).split())
    assert isinstance(parsed, Understood)
    assert isinstance(parsed.meaning, Stated)
    assert parsed.meaning.value == number


def test_a_hyphen_may_be_read_out_within_a_part_number() -> None:
    for hyphen in ("dash", "hyphen"):
        assert meaning(f"victor kilo {hyphen} four zero", IDENTITY) == Identified("VK40")
        assert isinstance(meaning(f"{hyphen} four zero", IDENTITY), NotUnderstood)
        assert isinstance(meaning(f"four zero {hyphen}", IDENTITY), NotUnderstood)


def test_a_date_may_begin_as_people_say_it() -> None:
    said = "it's one five march two zero two seven"
    assert meaning(said, DATE) == Dated("2027-03-15")


def test_only_stop_and_stand_by_do_nothing_but_wait() -> None:
    everything = PhraseSet((*map(Standard, StandardWord), *map(Order, PlainWord)))
    waits = {*PlainWord.STOP.spellings, *StandardWord.STAND_BY.spellings}
    others = {
        each for word in (*StandardWord, *PlainWord) for each in word.spellings if each not in waits
    }
    assert all(only_waits(everything.parse(each.split())) for each in waits)
    assert not any(only_waits(everything.parse(each.split())) for each in others)
    assert not only_waits(NotUnderstood(("stop", "pin")))
