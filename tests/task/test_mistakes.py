"""What an author writes wrong is told at its place, word for word, with what to write instead."""

import pytest

from tests.task.mistakes import TEXTS, TOLD, told

KEPT = dict(
    each.strip().split("\n", 1) for each in TOLD.read_text(encoding="utf-8").split("### ")[1:]
)


def test_there_is_an_answer_for_each_mistake_and_each_is_told() -> None:
    assert list(KEPT) == list(TEXTS)
    assert "nothing" not in KEPT.values()


@pytest.mark.parametrize("mistake", TEXTS)
def test_the_mistake_is_told_with_what_to_write_instead(mistake: str) -> None:
    assert told(TEXTS[mistake]) == KEPT[mistake]
