"""What an English voice can say. Scripts are those of the Unicode Character Database."""

import pytest

from handsfree.task.problems import TaskFileError
from handsfree.task.read import read_task
from handsfree.words.sayable import is_sayable
from tests.engine.people_task import VALVE


@pytest.mark.parametrize(
    "text", ["Fit the pin.", "Jürgen Žižka", "21 °C ± 2", "5 µm — 3 Ω", "e\u0301", "5\u2009m"]
)
def test_latin_letters_and_signs_of_the_trade_are_said(text: str) -> None:
    assert all(map(is_sayable, text))


@pytest.mark.parametrize("character", ["ж", "λ", "安", "ع", "→", "✓", "😀", "∞", "⇒", "\u0903"])
def test_other_alphabets_arrows_and_pictures_are_not(character: str) -> None:
    assert not is_sayable(character)


def test_a_task_names_the_first_that_is_not_with_its_place() -> None:
    with pytest.raises(TaskFileError) as caught:
        read_task(VALVE.replace("Fit the safety pin.", "Fit the pin → look."), "valve.yaml")
    assert str(caught.value) == (
        "valve.yaml:17:5: the text has '→' (U+2192), which the voice cannot say. "
        "Write it in words, with letters of the Latin alphabet"
    )
