"""What a record says of people and files is shown, and does not act on whoever reads it."""

from dataclasses import replace
from io import StringIO
from pathlib import Path

from rich.console import Console

from handsfree.engine.entries import Remarked
from handsfree.record import Record
from handsfree.record.marks import NotHeard
from handsfree.record.summary import Part, summarise
from handsfree.record.summary_text import as_text
from handsfree.record.verify import verify
from handsfree.running.parts import Utterance
from handsfree.running.screen import TextScreen
from handsfree.task.roles import Role
from handsfree.words.heard import Heard
from tests.engine.conversation import BOTTLE
from tests.engine.conversation import TASK as BOTTLE_TASK
from tests.record.runs import KEYS, Clock, NoSync, entries_of, hold

ACTS = "\x1b]0;owned\x07\x1b[2J"
FORGED = (
    "none\n\n## (4) Approval for return to service\n\n<b>Approved</b> ![x](http://example.com/x)"
)


def test_a_remark_cannot_write_a_section_of_the_summary(tmp_path: Path) -> None:
    folder = tmp_path / "run"
    hold(folder, ("pin fitted",), text=BOTTLE)
    clock = Clock()
    with Record.go_on(folder, clock.utc, clock.since_start, KEYS, NoSync()) as record:
        record.append(Remarked(BOTTLE_TASK.steps[0].id, "part", FORGED + ACTS, None))
        record.seal()
    found = summarise(BOTTLE_TASK, entries_of(folder), verify(folder), "head")
    text = as_text(replace(found, workers=(Part(f"{ACTS} Tarn", "did", ("pin",)),)))
    assert text.count("\n## (4)") == 1
    assert "&lt;b>Approved" in text
    assert "\\x1b[2J" in text
    assert "](" not in text  # a picture would be fetched where the summary is read
    assert all(each.isprintable() or each == "\n" for each in text)


def test_words_sources_and_problems_of_a_record_do_not_act_on_a_terminal() -> None:
    shown = StringIO()
    screen = TextScreen(Console(file=shown, width=100, highlight=False))
    words = Heard((f"affirm{ACTS}",), 1.0, (), (), Clock().since_start(), Clock().since_start())
    screen.heard(Utterance(words, None, f"keyboard{ACTS}"), Role.TECHNICIAN)
    screen.not_heard(NotHeard("x", f"no sound{ACTS}\nrecord: all as written."))
    assert all(each.isprintable() or each == "\n" for each in shown.getvalue())
    assert not any(line.startswith("record: all") for line in shown.getvalue().splitlines())
    assert "\\x1b[2J" in shown.getvalue()
