"""The sentences of the engine, in `sentences.txt`: what people say, and what the tool answers.

The tests of the rules look at entries and at kinds of speech, and leave the words to that file.
Where a sentence is changed on purpose, `python -m tests.engine.sentences` writes all answers anew,
for somebody to read what else has changed.

    ## bottle                                       how the run begins: a key of BEGUN
    # A reading in another unit is asked about.     a remark
    TO_PRESSURE / [score 0.95] two zero zero bar    what is said; what goes before is in brackets
      question: I heard bar. Report pressure in p s i.
"""

import re
import sys
import textwrap
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import timedelta
from pathlib import Path
from types import ModuleType

from handsfree.engine.effects import Say
from handsfree.engine.events import (
    HearingLost,
    HearingReturned,
    SilenceFor,
    Started,
    TakenUp,
    VoiceLost,
)
from handsfree.task.model import Task
from handsfree.task.read import read_task
from handsfree.words.heard import Heard, Trouble
from tests.engine import branching, conversation, gauges, no_limits, people_task, tools
from tests.engine.conversation import Conversation

FILE = Path(__file__).with_suffix(".txt")
SILENCE = timedelta(seconds=30)
_IN_BRACKETS = re.compile(r"\[([^]]*)\]")


@dataclass(frozen=True, slots=True)
class Begun:
    """How a run begins, and where its lead-ins such as TO_PRESSURE stand."""

    task: Task
    started: Started
    lead_ins: dict[str, tuple[str, ...]]


def _lead_ins(module: ModuleType) -> dict[str, tuple[str, ...]]:
    return {name: each for name, each in vars(module).items() if name.startswith("TO_")}


def _changed(text: str, *changes: tuple[str, str]) -> Task:
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return read_task(text, "changed.yaml")


def _bottle(started: Started, *changes: tuple[str, str]) -> Begun:
    return Begun(_changed(conversation.BOTTLE, *changes), started, _lead_ins(conversation))


def _tools(started: Started) -> Begun:
    return Begun(tools.TASK, started, _lead_ins(tools))


_SEEN = Started(today=tools.TODAY)
_MET = Started(people=people_task.PEOPLE, clock=people_task.TODAY)
BEGUN = {
    "bottle": _bottle(Started()),
    "bottle, where 'pin fitted' sounds like another phrase": _bottle(
        Started(confusable=("pin fitted",))
    ),
    "bottle, where 'left side' sounds like 'right side'": _bottle(
        Started(confusable=("left side", "right side"))
    ),
    "bottle, whose first step is critical": _bottle(
        Started(), ("  - id: fit-pin\n", "  - id: fit-pin\n    critical: true\n")
    ),
    "gauges": Begun(gauges.GAUGE_TASK, Started(), _lead_ins(gauges)),
    "tools": _tools(_SEEN),
    "tools, a day later": _tools(Started(today=tools.TODAY + timedelta(days=1))),
    "tools, where nobody knows the day": _tools(Started()),
    "tools, with an equipment list": _tools(replace(_SEEN, equipment=tools.LISTED)),
    "branches": Begun(branching.TASK, Started(variants=(("side", "right"),)), _lead_ins(branching)),
    "people": Begun(people_task.TASK, _MET, _lead_ins(people_task)),
    "bolts that must be even": Begun(no_limits.EVEN, Started(), {}),
    **{
        f"no limits: {why}": Begun(each, Started(), {}) for why, each in no_limits.UNCHECKED.items()
    },
}


@dataclass(frozen=True, slots=True)
class Block:
    """What was said and happened in a run, and what the tool answers to the last of it."""

    remarks: tuple[str, ...]
    events: tuple[str, ...]  # none: it only says how the runs begin from here on
    answer: tuple[str, ...]  # each with its kind of speech


def answered(begun: str, events: tuple[str, ...]) -> tuple[str, ...]:
    """What the tool answers to the last of `events`."""
    start = BEGUN[begun]
    run = Conversation(start.task)
    run.send(start.started)
    run.finish_speaking()
    now = timedelta(0)
    for each in _spelled_out(events, start.lead_ins):
        now = _happens(run, each, now)
        run.finish_speaking()
    return tuple(f"{each.speech.value}: {each.text}" for each in run.last if isinstance(each, Say))


def _spelled_out(events: tuple[str, ...], lead_ins: dict[str, tuple[str, ...]]) -> Iterator[str]:
    for each in events:
        yield from lead_ins.get(each, (each,))


def _happens(run: Conversation, event: str, now: timedelta) -> timedelta:
    """Send the event; the time after it."""
    score, channel, trouble, words = 1.0, None, None, _IN_BRACKETS.sub("", event).split()
    for each in _IN_BRACKETS.findall(event):
        match each.split():
            case ["score", number]:
                score = float(number)
            case ["channel", number]:
                channel = int(number)
            case ["after", seconds, "s"]:
                now += timedelta(seconds=int(seconds))
            case ["begun"]:
                pass  # what is said before anybody else speaks
            case ["cut", "off"]:
                trouble = Trouble.CUT_OFF
            case ["too", "long"]:
                score, trouble = 0.1, Trouble.TOO_LONG
            case ["nothing", "heard"]:
                run.send(Heard((), score, (), (), now, now, channel))
            case ["silence"]:
                now += SILENCE
                run.send(SilenceFor(SILENCE, now))
            case ["hearing", "lost"]:
                run.send(HearingLost("the microphone has gone"))
            case ["hearing", "returned"]:
                run.send(HearingReturned())
            case ["voice", "lost"]:
                run.send(VoiceLost("the loudspeaker has gone"))
            case ["the", "program", "goes", "on"]:
                run.send(TakenUp(now, people_task.TODAY))
            case _:
                raise ValueError(f"{event}: [{each}] is nothing that happens")
    if words:
        run.send(Heard(tuple(words), score, (), (), now, now, channel, trouble=trouble))
    return now


def read(text: str) -> tuple[str, tuple[Block, ...]]:
    """What stands before the first run, and all blocks of the file."""
    head, *rest = text.strip().split("\n\n")
    return head, tuple(_block(each.splitlines()) for each in rest)


def _block(lines: list[str]) -> Block:
    remarks = tuple(each for each in lines if each.startswith("#"))
    said = " ".join(each for each in lines if not each.startswith(("#", " ")))
    answer = tuple(each.strip() for each in lines if each.startswith(" "))
    return Block(remarks, tuple(said.split(" / ")) if said else (), answer)


def exchanges(blocks: Iterable[Block]) -> Iterator[tuple[str, Block]]:
    """The blocks in which something is said, each with the way in which its run begins."""
    begun = ""
    for each in blocks:
        for remark in each.remarks:
            begun = remark.removeprefix("## ") if remark.startswith("## ") else begun
        if each.events:
            yield begun, each


def written(head: str, blocks: Iterable[Block]) -> str:
    """The text of the file."""
    return "\n\n".join([head, *("\n".join(_lines(each)) for each in blocks)]) + "\n"


def _lines(block: Block) -> Iterator[str]:
    yield from block.remarks
    if block.events:
        yield from textwrap.wrap(" / ".join(block.events), 100, break_on_hyphens=False)
    yield from (f"  {each}" for each in block.answer)


def main() -> int:
    """Write all answers of the file anew."""
    head, blocks = read(FILE.read_text(encoding="utf-8"))
    answers = {id(each): answered(begun, each.events) for begun, each in exchanges(blocks)}
    anew = [replace(each, answer=answers.get(id(each), ())) for each in blocks]
    FILE.write_text(written(head, anew), encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
