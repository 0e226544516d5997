"""Records of many runs of the long task, quickly: each another run, or a copy on another day.

A run is driven through the real engine by the book, and by its seed slower here, doubtful there,
out of limits, put off or broken off. A copy has another day, aircraft and folder; its chain is made
anew and sealed, so it verifies and replays like any record.
"""

import os
import re
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random
from shutil import copytree, rmtree

from handsfree.engine.effects import Say, Write
from handsfree.engine.events import Event, Spoken
from handsfree.engine.phase import Phase
from handsfree.record import Circumstances, Record
from handsfree.record.chain import BEGINNING, link
from handsfree.record.clips import name_of
from handsfree.record.marks import Way
from handsfree.record.seal import sign, write_seals
from handsfree.task.expectations import IdentityExpected, ReadingExpected
from handsfree.task.model import Task
from handsfree.task.read import read_task
from handsfree.task.roles import role_of
from handsfree.words.alphabet import speak_characters
from handsfree.words.heard import Heard, Opinion
from tests.long_task import LongRun
from tests.record.runs import KEYS, NoSync, sound
from tests.shipped_tasks import FOLDER

START = datetime(2031, 3, 1, 8, tzinfo=UTC)
AIRCRAFT = ("QD-TRN", "QD-ABL", "QD-KES", "QD-OLM", "QD-VIR")
WRENCHES = ("TA-31", "TA-28", "TA-40")
TEXT = (FOLDER / "door-slide-refit.yaml").read_text(encoding="utf-8")
_OTHER = {"thermometer-number": "TH-05", "gauge-number": "PG-12", "feeler-number": "FG-02"}
_SLOW = "right-bolt"  # where every seventh run takes far longer


_OPENED = re.compile('"task_sha256":"([0-9a-f]{64})"')
_PREV = re.compile('"prev":"[0-9a-f]{64}"')
_UTC = re.compile('"utc":"([^"]*)"')


class RecordedRun(LongRun):
    """A run of the long task that is put on a record as it goes."""

    def __init__(self, folder: Path, task: Task, seed: int, text: str = TEXT) -> None:
        super().__init__(task)
        self._random = Random(seed)
        self._wrench = WRENCHES[seed % len(WRENCHES)]
        self._is_slow = seed % 7 == 3
        how = Circumstances(task.task, task.revision, Way.VOICE)
        self._record = Record(
            folder,
            text,
            lambda: START + self.now,
            lambda: self.now,
            KEYS,
            NoSync(),
            circumstances=how,
        )

    def send(self, event: Event) -> None:
        if isinstance(event, Spoken):
            self.now += timedelta(seconds=4)
        if isinstance(event, Heard):
            clip = self._record.keep_clip(sound(" ".join(event.words)))
            role = role_of(event.channel)
            source = "technician" if role is None else role.value.replace(" ", "-")
            self._record.append(event, clip=clip.sha256, source=source)
        else:
            self._record.append(event)
        super().send(event)
        for effect in self.last:
            if isinstance(effect, Write | Say):
                self._record.append(effect.entry if isinstance(effect, Write) else effect)

    def hear(self, words: str, channel: int | None = 1, score: float = 1.0) -> "RecordedRun":
        self._take_time()
        said = tuple(words.split())
        score = min(score, 0.99)
        opinions = (
            Opinion("reader", said, -0.03, 7.25, words),
            Opinion("whisper-base.en", said, -0.48, 9.5, f"{words.capitalize()}."),
        )
        ended = self.now + timedelta(seconds=0.3 * len(said))
        self.send(Heard(said, score, (), opinions, self.now, ended, channel))
        self.now = ended
        self.finish_speaking()
        return self

    def _take_time(self) -> None:
        seconds = self._random.lognormvariate(2.2, 0.7)
        if self._is_slow and self.step == _SLOW:
            seconds += 240
        self.now += timedelta(seconds=round(seconds, 1))

    def expected_answer(self) -> str:
        expect = self.task.steps[self.state.step].expect
        if isinstance(expect, IdentityExpected) and not expect.accept:
            number = self._wrench if self.step == "wrench-number" else _OTHER.get(self.step, "X-1")
            return speak_characters(number).lower()
        return super().expected_answer()

    def through(self, most: int = 10_000) -> "RecordedRun":
        """To the end, or for so many utterances; what befalls it follows from the seed."""
        self._record.seal()
        self.begin()
        for _ in range(most):
            if self.finished:
                break
            self._go_on_somehow()
        self._record.seal()
        self._record.close()
        return self

    def _go_on_somehow(self) -> None:
        words, channel = self.right()
        drawn = self._random.random()
        answering = self.state.phase is Phase.ANSWERING
        expect = self.task.steps[self.state.step].expect
        if drawn < 0.06:
            self.hear(words, channel, 0.3)
        elif drawn < 0.08 and answering:
            self.hear("stand by").hear("somebody needs the platform")
        elif drawn < 0.09 and answering and self.task.steps[self.state.step].deferral:
            self.hear("unable").hear("the bracket is bent")
        elif drawn < 0.2 and answering and isinstance(expect, ReadingExpected):
            self.hear("one one", channel)
        self.hear(*self.right())


def task_on(aircraft: str) -> str:
    """The text of the long task for another aircraft."""
    return TEXT.replace(AIRCRAFT[0], aircraft)


def make(folder: Path, seed: int, most: int = 10_000) -> Path:
    """A record of one run, which follows from its seed."""
    RecordedRun(folder, read_task(TEXT, "task.yaml"), seed).through(most)
    return folder


def copy(made: Path, to: Path, days: int, aircraft: str) -> Path:
    """The same run on another day, on another aircraft."""
    to.mkdir()
    # Clips are the same files, for thousands of records have hundreds of thousands of clips.
    copytree(made / "clips", to / "clips", copy_function=os.link)
    text = (made / "task.yaml").read_text(encoding="utf-8").replace(AIRCRAFT[0], aircraft)
    (to / "task.yaml").write_text(text, encoding="utf-8")
    spoken = [_ways_to_write(each) for each in (AIRCRAFT[0], aircraft)]
    log = (made / "log.jsonl").read_text(encoding="utf-8")
    for own, other in zip(*spoken, strict=True):
        log = log.replace(own, other)
    for first in _OPENED.findall(log)[:1]:
        log = log.replace(first, name_of(text.encode()), 1)
    lines, head, utc = [], BEGINNING, ""
    for line in log.splitlines():
        # As text and not as JSON, for it is done millions of times; each stands there once.
        before, utc, after = _UTC.split(line, 1)
        utc = (datetime.fromisoformat(utc) + timedelta(days=days)).isoformat(
            timespec="milliseconds"
        )
        line = _PREV.sub(f'"prev":"{head}"', f'{before}"utc":"{utc}"{after}', count=1)
        lines.append(line.encode())
        head = link(lines[-1])
    (to / "log.jsonl").write_bytes(b"".join(line + b"\n" for line in lines))
    write_seals(to, (sign(KEYS, len(lines), head, utc),), NoSync())
    return to


def _ways_to_write(registration: str) -> tuple[str, ...]:
    """As it is written, compared, said, read back and heard."""
    said = speak_characters(registration)
    said = said.lower()
    heard = said.replace(" ", '","')  # one word after the other, as JSON has them
    return (registration, registration.replace("-", ""), said, said.capitalize(), heard)


def many(folder: Path, count: int, different: int) -> Iterator[Path]:
    """So many records in a folder, of so many runs; the rest are copies of them.

    What is there already is left, so it can be gone on with.
    """
    part = folder / "part"
    rmtree(part, ignore_errors=True)
    for number in range(count):
        random = Random(number)
        to = folder / f"run-{number:05}"
        if not to.exists():
            if number < different:
                make(part, number, random.randrange(20, 80) if number % 10 == 9 else 10_000)
            else:
                made = folder / f"run-{number % different:05}"
                copy(made, part, random.randrange(1, 400), random.choice(AIRCRAFT))
            part.rename(to)
        yield to
