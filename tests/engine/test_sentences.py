"""What the tool says, word for word."""

import pytest

from handsfree.engine.effects import Speech
from tests.engine.sentences import BEGUN, FILE, Block, answered, exchanges, read, written

TEXT = FILE.read_text(encoding="utf-8")
HEAD, BLOCKS = read(TEXT)
EXCHANGES = tuple(exchanges(BLOCKS))


@pytest.mark.parametrize(
    ("begun", "block"), EXCHANGES, ids=[" ".join(each.remarks) for _, each in EXCHANGES]
)
def test_the_tool_says(begun: str, block: Block) -> None:
    assert answered(begun, block.events) == block.answer


def test_every_beginning_and_every_kind_of_speech_is_in_the_file() -> None:
    assert {begun for begun, _ in EXCHANGES} == set(BEGUN)
    kinds = {answer.split(":")[0] for _, block in EXCHANGES for answer in block.answer}
    assert kinds == {each.value for each in Speech}


def test_the_file_is_read_and_written_without_a_change() -> None:
    """Else a change on purpose would hide among others."""
    assert written(HEAD, BLOCKS) == TEXT
