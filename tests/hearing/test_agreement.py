"""Free text and phrase words that say the same are recognized as the same."""

import re

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from handsfree.hearing.agreement import canonical, says_the_same
from handsfree.words.spoken_numbers import speak_figures


@pytest.mark.parametrize(
    ("words", "text"),
    [
        ("two niner five zero p s i", "2,950 psi."),
        ("two niner five zero psi", "2 9 or 5 0 psi"),
        ("pressure two nine five zero psi", "Pressure 29 50 P.S.I."),
        ("five six oh five", " 5-6, oh 5"),
        ("seven fifty five", "7.55."),
        ("three thousand fifty", "3,050"),
        ("three thousand fifty", "three thousand and fifty"),
        ("one three thousand five hundred", "13,500."),
        ("fifty two nineteen", "52-19"),
        ("two niner decimal five", "29.5"),
        ("minus five degrees", "-5°"),
        ("two for four", "2, 4, 4"),
        ("safety pin in", "Safety pin in."),
        ("stand by", "Standby!"),
        ("serial kilo zero four seven bravo", "Serial Kilo 047 Bravo"),
        ("xray one", "X-ray 1"),
        ("four newton metres", "4 Newton meters"),
        ("three and five sixteenths inches", "3 5/16 inches."),
        ("three and five sixteenths inches", "3 and 5/16 inches"),
        ("one zero and fifteen sixteenths", "10 15/16"),
        ("three and a half", "3 1/2"),
        ("half inch", "1/2 inch"),
        ("two and three fourths", "2 3/4"),
    ],
)
def test_the_same_said_is_the_same(words: str, text: str) -> None:
    assert says_the_same(words.split(), text)


@pytest.mark.parametrize(
    ("words", "text"),
    [
        ("eight eight", "8 8 8"),
        ("four two", "oh 4 2"),
        ("thirty five", "30 5"),
        ("seventeen", "7 2"),
        ("safety pin in", "Safety pin out."),
        ("minus five", "5"),
        ("three five one six", "3 5/16"),
        ("five sixteenths", "15/16"),
        ("one half", "half past one"),
    ],
)
def test_what_differs_is_not_the_same(words: str, text: str) -> None:
    assert not says_the_same(words.split(), text)


@pytest.mark.parametrize("text", ["", "  ", "...", "♪"])
def test_text_without_words_says_nothing(text: str) -> None:
    assert not says_the_same(("five",), text)
    assert not says_the_same((), text)


@given(st.text("0123456789", min_size=1, max_size=12))
def test_figures_agree_with_their_words_however_they_are_set_apart(figures: str) -> None:
    words = speak_figures(figures).split()
    for apart in ("", " ", "-", ", ", "."):
        assert says_the_same(words, apart.join(figures))


@example("-0")
@given(st.text(max_size=80))
def test_any_text_has_a_canonical_form_without_spaces_or_punctuation(text: str) -> None:
    # A sign stays before its figure: minus five is not five.
    said = re.sub(r"-(?=\d)", "", canonical(text))
    assert not set(said) & set(" .,-!?'\"\n\t")


@given(st.text(max_size=80))
def test_any_text_that_says_something_says_the_same_as_itself(text: str) -> None:
    assert says_the_same(text.split(), text) == (canonical(text) != "")
