"""Both tasks from beginning to end by strange voices, through the shipped listeners and the engine.

    python -m tests.benchmarks.whole_tasks run --mouth CMD --kept FILE [--voices ...] [--levels ...]
    python -m tests.benchmarks.whole_tasks table --kept FILE

Somebody does what the tool asks for, in one voice for everyone's headset (`scripted.py`). Nothing
is ever typed: where so many utterances did not end a question, the run has found no way on by voice
and stops there. Each run is kept in FILE, a JSON line each; what is there is not run again.
"""

import argparse
import json
import time
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import asdict, dataclass, field, replace
from datetime import timedelta
from pathlib import Path

from rich.console import Console
from rich.progress import track

from handsfree.engine.phrases_now import phrases_now
from handsfree.engine.waiting import StandingBy, value_in_question
from handsfree.hearing.recognizer import Recognizer
from tests.benchmarks.by_strangers import ByStrangers
from tests.benchmarks.sayings import TASKS
from tests.benchmarks.scripted import Person, SpokenRun, Truth
from tests.benchmarks.strangers import (
    CLEAN,
    Mouth,
    embedded_listeners,
    in_noise,
)

_MOST_UTTERANCES = 30  # of one question, before it counts as one without a way on
_THINKS = timedelta(seconds=5)
_SLOW = 0.75


@dataclass
class Tally:
    """What came of one run."""

    task: str
    voice: str
    level: str
    utterances: int = 0
    questions: int = 0
    again: int = 0  # questions that took more than one utterance
    ended: bool = False
    stuck: str = ""  # the question that had no way on
    stood_by: int = 0  # times that the step waited
    read_back_wrong: int = 0  # values that were not said, read back and denied
    wrong: list[str] = field(default_factory=list)  # on the record and not what was said
    doubts: list[str] = field(default_factory=list)  # each utterance that did not end its question


def _attempt(task: str, voice: str, level: str, mouth: Mouth, recognizer: Recognizer) -> Tally:
    """One run by one voice, from the first question as far as it comes by voice."""
    truth = Truth.of(SpokenRun(task, voice))
    run = SpokenRun(task, voice)
    run.begin()
    person, tally = Person(run, truth), Tally(task, voice, level)
    told, of_this = run.answer, 0
    while not run.finished and of_this < _MOST_UTTERANCES:
        words, channel, slowly = person.next_words(told)
        before, denies = run.state, not person.is_true()
        text = ", ".join(words.split()) if slowly else words
        sound = mouth.say(voice, text, _SLOW if slowly else 1.0)
        audio = in_noise(sound, level, f"{voice}:{text}:{tally.utterances}")
        run.now += _THINKS
        heard = recognizer.recognize(audio, phrases_now(run.task, run.state))
        ended = run.now + heard.ended
        run.send(replace(heard, started=run.now, ended=ended, channel=channel))
        run.now = ended
        run.finish_speaking()
        told = run.answer
        tally.utterances += 1
        of_this += 1
        if denies and run.state.step != before.step:
            tally.wrong.append(
                f"{value_in_question(before.waits_for)} was denied and is on the record"
            )
        tally.read_back_wrong += not denies and not person.is_true()
        if person.came_on(before):
            tally.questions += 1
            tally.again += of_this > 1
            of_this = 0
            continue
        tally.stood_by += isinstance(run.state.waits_for, StandingBy)
        tally.doubts.append(
            f"{before.phase.value}: '{text}' as '{' '.join(heard.words)}' {heard.score:.3f}"
        )
    tally.ended = run.finished
    tally.stuck = "" if run.finished else f"{run.step}, {run.state.phase.value}"
    tally.wrong += truth.differences(run)
    return tally


def run(asked: argparse.Namespace) -> None:
    """Do each task that is not kept yet, until the time is over."""
    kept: Path = asked.kept
    known = {(each.task, each.voice, each.level) for each in _tallies(kept)}
    wanted = [
        (task, voice, level)
        for level in asked.levels
        for task in asked.tasks
        for voice in asked.voices
        if (task, voice, level) not in known
    ]
    until = time.monotonic() + 60 * asked.minutes
    recognizer = embedded_listeners()
    with kept.open("a", encoding="utf-8") as file, Mouth(asked.mouth) as mouth:
        for each in track(wanted, "whole tasks", console=Console(stderr=True)):
            if time.monotonic() > until:
                break
            print(json.dumps(asdict(_attempt(*each, mouth, recognizer))), file=file, flush=True)


def _tallies(kept: Path) -> list[Tally]:
    if not kept.exists():
        return []
    return [Tally(**json.loads(line)) for line in kept.read_text(encoding="utf-8").splitlines()]


def table(asked: argparse.Namespace) -> None:
    """Print what is kept, then each question without a way on and each wrong entry."""
    tallies = [each for each in _tallies(asked.kept) if each.voice in asked.voices]
    columns = (
        *("task", "level", "voice", "ended by voice", "utterances", "questions"),
        *("asked again", "stood by", "read back wrong", "wrong on the record"),
    )
    print(f"| {' | '.join(columns)} |\n|{' --- |' * 4}{' ---: |' * 6}")
    groups: dict[tuple[str, str], list[Tally]] = defaultdict(list)
    for each in tallies:
        groups[each.task, each.level].append(each)
    for (task, level), group in groups.items():
        for each in group:
            print(f"| {task} | {level} | {each.voice} | {_cells([each])} |")
        print(f"| {task} | {level} | all | {_cells(group)} |")
    for each in tallies:
        for what in (*each.wrong, *([f"no way on at {each.stuck}"] if each.stuck else ())):
            print(f"- {each.voice}, {each.level}, {each.task}: {what}")


def _cells(group: Iterable[Tally]) -> str:
    all_ = list(group)
    questions, again = sum(each.questions for each in all_), sum(each.again for each in all_)
    ended = sum(each.ended for each in all_)
    return " | ".join(
        (
            f"{ended} of {len(all_)}" if len(all_) > 1 else "yes" if ended else "no",
            str(sum(each.utterances for each in all_)),
            str(questions),
            f"{again} ({again / max(1, questions):.0%})".replace("%", " %"),
            str(sum(each.stood_by for each in all_)),
            str(sum(each.read_back_wrong for each in all_)),
            str(sum(len(each.wrong) for each in all_)),
        )
    )


def main() -> None:
    """Parse, and do what is asked."""
    commands = ByStrangers(__doc__, run, table, (CLEAN, "10 dB"))
    commands.listen.add_argument("--tasks", nargs="*", choices=TASKS, default=TASKS)
    commands.do_what_is_asked()


if __name__ == "__main__":
    main()
