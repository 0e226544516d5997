"""What a text of a task file or a roster may be made of is decided when the file is read."""

import unicodedata

import pytest

from handsfree.task.problems import TaskFileError
from handsfree.task.read import read_task
from handsfree.task.roster import RosterFileError, read_roster
from tests.small_task import SMALL

UNSEEN = ["\x1b", "\x07", "\u202e", "\u200b", "\u2066", "\u00ad", "\ufeff", "\u2028", "\u00a0"]
# Printable to Python, and nothing to see: DerivedCoreProperties.txt, Default_Ignorable_Code_Point,
# and the braille pattern of no dots.
UNSEEN += ["\u034f", "\u115f", "\u3164", "\uffa0", "\ufe0f", "\u2800", "\U000e0101"]
FIGURES = ["\uff15", "\u0665", "\U0001d7db", "\u00b2", "\u00bd", "\u2167", "\u096b"]


def with_instruction(words: str) -> str:
    escaped = "".join(
        each if each.isascii() and each.isprintable() else f"\\U{ord(each):08X}" for each in words
    )
    head, _, rest = SMALL.partition("    instruction: ")
    return f'{head}    instruction: "{escaped}"\n{rest.partition(chr(10))[2]}'


@pytest.mark.parametrize("unseen", UNSEEN, ids=lambda each: f"U+{ord(each):04X}")
def test_a_character_that_cannot_be_seen_is_refused_with_its_place(unseen: str) -> None:
    expected = rf"t.yaml:\d+:\d+: .*the text has the character U\+{ord(unseen):04X}, which cannot"
    with pytest.raises(TaskFileError, match=expected) as refused:
        read_task(with_instruction(f"Fit the{unseen}pin."), "t.yaml")
    assert unseen not in str(refused.value)


@pytest.mark.parametrize("figure", FIGURES, ids=lambda each: unicodedata.name(each))
def test_a_figure_that_the_voice_cannot_say_is_refused_with_its_place(figure: str) -> None:
    with pytest.raises(TaskFileError, match=r"t.yaml:\d+:\d+: .*has the figure .*as 0 to 9"):
        read_task(with_instruction(f"Tighten bolt {figure}."), "t.yaml")


@pytest.mark.parametrize("written", ['instruction: "\\ud800"', '"\\udfff": a'])
def test_half_a_character_is_refused_with_its_place(written: str) -> None:
    text = SMALL.replace("instruction: Fit the pin.", written)
    with pytest.raises(TaskFileError, match=r"t.yaml:\d+:\d+: half a character: U\+D.*delete it"):
        read_task(text, "t.yaml")


def test_letters_of_other_languages_are_taken() -> None:
    assert read_task(with_instruction("Fit the Müller pin at 5 °C."), "t.yaml")


@pytest.mark.parametrize(
    ("name", "problem"),
    [
        ('"T \\e[31m"', "U\\+001B"),
        ('"   "', "the text is blank"),
        ('"\\u3164"', "U\\+3164"),
        ('"\\u2800\\u2800"', "U\\+2800"),
    ],
)
def test_a_name_on_a_roster_is_something_that_can_be_seen(name: str, problem: str) -> None:
    entry = f"{{name: {name}, staff_number: OA-1, authorised: {{technician: 2031-05-04}}}}"
    roster = f"people:\n  - {entry}\n"
    with pytest.raises(RosterFileError, match=problem):
        read_roster(roster, "r.yaml")


@pytest.mark.parametrize(
    "text", ["", "people: &a []", "x" * 1_000_001, "[" * 40 + "]" * 40, "a: ["]
)
def test_a_mistake_in_a_roster_never_speaks_of_a_task(text: str) -> None:
    with pytest.raises(RosterFileError) as refused:
        read_roster(text, "r.yaml")
    assert "task" not in str(refused.value).lower()
