"""`handsfree practise`: the words are learnt by doing, and each is told how well it was heard."""

from datetime import timedelta
from pathlib import Path

import pytest
from typer.testing import CliRunner

from handsfree.cli.app import app
from handsfree.record.entries import read_entries
from handsfree.rehearse.heard import heard_words
from handsfree.words.heard import Heard

WHOLE = """\
okay
lamp is shining
say again
sentence repeated
stand by
the telephone
go ahead
waiting practised
two five
affirm
three six
correction three seven
affirm
kilo four seven
affirm
help
advice understood
unable
no reason
other
go ahead
work goes on
lamp is dark now
"""


def practised(*words: str) -> tuple[int, str]:
    ran = CliRunner().invoke(app, ["practise", "--keyboard", *words], input=WHOLE)
    return ran.exit_code, ran.output


def test_it_comes_to_its_end_and_tells_how_each_word_was_heard(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    code, shown = practised()
    assert code == 0
    for words in ("stand by", "say again", "correction three seven", "affirm", "unable"):
        assert any(
            line.startswith(words) and line.endswith("heard well") for line in shown.splitlines()
        )
    assert "This tool certifies nothing." in shown
    assert "That record is removed: nothing of it is kept." in shown
    assert list(tmp_path.iterdir()) == []


def test_the_record_is_kept_where_it_is_wanted(tmp_path: Path) -> None:
    practised("--record", str(tmp_path / "r"))
    assert any(each.kind == "task-ended" for each in read_entries(tmp_path / "r"))


def test_what_was_heard_worst_comes_first_with_what_to_do() -> None:
    at = timedelta(0)
    said = (("affirm", 0.99), ("unable", 0.3), ("unable", 0.7), ("stand by", 0.85), ("", 0.0))
    hearings = [Heard(tuple(words.split()), score, (), (), at, at) for words, score in said]
    found = heard_words(hearings)
    assert [(each.words, each.scores) for each in found] == [
        ("", (0.0,)),
        ("unable", (0.3, 0.7)),
        ("stand by", (0.85,)),
        ("affirm", (0.99,)),
    ]
    assert [each.advice for each in found] == [
        "nothing that fits was heard: say one phrase, then wait",
        "hard to hear: come closer, and say each word",
        "mostly heard: say it a little slower",
        "heard well",
    ]
