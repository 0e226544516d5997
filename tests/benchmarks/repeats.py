"""How alike two hearings of one person go wrong: `python -m tests.benchmarks.repeats`.

Strings of four digits by the three people of `../shared/data/digits`, joined of clips with gaps.
Each string is said four times, each time of other clips of the same person: what is misheard every
time is misheard because of the voice. It prints a block for RESULTS.md, from which the shares in
`handsfree/engine/evidence.py` are read.
"""

import argparse
import csv
import json
import random
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import asdict, dataclass
from datetime import timedelta
from itertools import combinations, permutations
from pathlib import Path

import numpy as np
from rich.progress import track

from handsfree.engine.phase import Phase
from handsfree.engine.trust import AFFIRMED_UNHEARD, VALUE_AT
from handsfree.hearing.audio import SAMPLE_RATE, Audio, Samples
from handsfree.hearing.clips import read_clip
from handsfree.hearing.opening import open_recognizer
from handsfree.task.read import read_task
from handsfree.words.heard import Heard
from handsfree.words.meanings import Stated, Understood
from handsfree.words.phrases import PhraseSet, Reading
from handsfree.words.spoken_numbers import speak_figures
from tests.benchmarks.hearing import share as _share
from tests.benchmarks.speech import mixed, pink_noise, speech_folder
from tests.engine.conversation import Conversation

_SEED = 15
_DIGITS = 4
_SAYINGS = 4
# The last saying is the slow one that is asked for: each digit by itself.
_GAPS_MS = ((0, 120), (0, 120), (0, 120), (300, 400))
_SLOW = _SAYINGS - 1
_QUIET_MS = 250
_LEVELS_DB = (None, 15, 10)
PRESSURE = PhraseSet((Reading(("pressure",), "psi"),))


@dataclass(frozen=True, slots=True)
class Saying:
    """One saying of one string, and what was heard."""

    speaker: str
    string: str
    level_db: int | None
    saying: int
    heard: str  # the figures; empty: none
    score: float

    @property
    def is_right(self) -> bool:
        return self.heard == self.string

    @property
    def is_believed(self) -> bool:
        return self.score >= VALUE_AT


def strings(speaker: str, number: int) -> Iterator[tuple[str, tuple[Samples, ...]]]:
    """`number` strings by `speaker`, each with the sound of its sayings, the same on every run."""
    chance = random.Random(f"{_SEED}:{speaker}")
    takes = _takes(speaker)
    for _ in range(number):
        digits = [chance.choice(sorted(takes)) for _ in range(_DIGITS)]
        sounds = []
        for saying in range(_SAYINGS):
            pieces = [_silence(_QUIET_MS)]
            for digit in digits:
                # No clip is used in two sayings.
                own = [each for at, each in enumerate(takes[digit]) if at % _SAYINGS == saying]
                pieces += [chance.choice(own), _silence(chance.uniform(*_GAPS_MS[saying]))]
            sounds.append(np.concatenate([*pieces, _silence(_QUIET_MS)]))
        yield "".join(digits), tuple(sounds)


def _takes(speaker: str) -> dict[str, list[Samples]]:
    folder = speech_folder() / "digits"
    takes: dict[str, list[Samples]] = {}
    with (folder / "clips.csv").open(encoding="utf-8", newline="") as table:
        for row in csv.DictReader(table):
            if row["speaker"] == speaker:
                digit = row["clip"].partition("-")[0]
                takes.setdefault(digit, []).append(
                    read_clip(folder / "clips" / row["clip"]).samples
                )
    return takes


def _silence(milliseconds: float) -> Samples:
    return np.zeros(int(milliseconds * SAMPLE_RATE / 1000), np.float32)


def heard(number: int) -> list[Saying]:
    """Every saying, heard."""
    recognizer = open_recognizer()
    found = []
    for speaker in ("s1", "s2", "s3"):
        for string, sounds in track(strings(speaker, number), speaker, total=number):
            for level in _LEVELS_DB:
                for saying, sound in enumerate(sounds):
                    noise = pink_noise(len(sound), int(string) * 10 + saying)
                    noisy = sound if level is None else mixed(sound, noise, level)
                    hearing = recognizer.recognize(Audio(noisy, timedelta(0)), PRESSURE)
                    parsed = PRESSURE.parse(hearing.words)
                    meaning = parsed.meaning if isinstance(parsed, Understood) else None
                    figures = meaning.figures if isinstance(meaning, Stated) else ""
                    found.append(Saying(speaker, string, level, saying, figures, hearing.score))
    return found


def counted(found: list[Saying]) -> Iterator[str]:
    """Markdown: how hearings go wrong, and go wrong again."""
    yield "| people | noise | sayings | exact | believed | and wrong | doubted | and right |"
    yield "|" + " --- |" * 8
    everyone = sorted({each.speaker for each in found})
    for people in (*([each] for each in everyone), everyone):
        for level in _LEVELS_DB:
            own = [each for each in found if each.speaker in people and each.level_db == level]
            yield (
                f"| {' '.join(people)} | {'clean' if level is None else f'{level} dB'} "
                f"| {len(own)} | {_share(each.is_right for each in own)} "
                f"| {_share(each.is_believed for each in own)} "
                f"| {_share(not each.is_right for each in own if each.is_believed)} "
                f"| {_share(not each.is_believed for each in own)} "
                f"| {_share(each.is_right for each in own if not each.is_believed)} |"
            )
    yield ""
    again = [pair for group in _groups(found) for pair in permutations(group, 2)]
    wrong = [(one, other) for one, other in again if one.heard and not one.is_right]
    doubted = [pair for pair in wrong if not any(each.is_believed for each in pair)]
    slowly = [
        (one, other)
        for one, other in wrong
        if one.saying != _SLOW == other.saying and not one.is_believed
    ]
    yield f"- wrong, and the next saying wrong in the same way: {_same(wrong)}"
    yield f"- the same where both are doubted: {_same(doubted)}"
    yield f"- wrong and doubted, and the slow saying wrong in the same way: {_same(slowly)}"
    for number in (2, 3):
        agreeing = [
            each
            for group in _groups(found)
            for each in combinations(group, number)
            if each[0].heard
            and len({one.heard for one in each}) == 1
            and not any(one.is_believed for one in each)
        ]
        right = _share(each[0].is_right for each in agreeing)
        yield f"- {number} doubted sayings that agree, right: {right} of {len(agreeing)}"


def questions(found: list[Saying]) -> Iterator[str]:
    """Markdown: what comes of a question when the engine hears these sayings, one after another.

    The person says yes to what is offered or read back where it is right; of what is wrong they let
    one in ten pass, each time, which is counted as a tenth. They say the string twice, then slowly,
    then at once again; where nothing is offered, three times at once.
    """
    before: Counter[str] = Counter()
    after: Counter[str] = Counter()
    for group in _groups(found):
        believed = next((each for each in group[:_SLOW] if each.is_believed), None)
        _count(before, "waits" if believed is None else _verdict(believed.is_right), 1.0)
        _ask_by_the_engine(after, [group[each] for each in (0, 1, _SLOW, 2)])
    yield "| | affirmed and right | affirmed and wrong | taken back or denied | the step waits |"
    yield "|" + " --- |" * 5
    for name, ends in (("asked again three times", before), ("another form, offered", after)):
        counts = (f"{ends[each]:.1f}" for each in ("right", "passed", "noticed", "waits"))
        yield f"| {name} | {' | '.join(counts)} |"


def _verdict(is_right: bool) -> str:
    return "right" if is_right else "wrong"


def _count(ends: Counter[str], end: str, weight: float) -> None:
    """A wrong value that is read back is affirmed in a tenth of the cases."""
    passes = float(AFFIRMED_UNHEARD)
    if end == "wrong":
        ends["passed"] += weight * passes  # type: ignore[assignment] # counted in tenths
        ends["noticed"] += weight * (1 - passes)  # type: ignore[assignment]
    else:
        ends[end] += weight  # type: ignore[assignment]


def _ask_by_the_engine(ends: Counter[str], sayings: list[Saying]) -> None:
    run = Conversation(read_task(_TASK, "pressure.yaml")).start()
    string, weight = sayings[0].string, 1.0
    for saying in (*sayings, *sayings[2:]):
        offer = run.state.exchange.doubt.offer
        offered = None if offer is None else offer.wording.meaning
        if isinstance(offered, Stated) and offered.figures != string:
            ends["noticed"] += weight * (1 - float(AFFIRMED_UNHEARD))  # type: ignore[assignment]
            weight *= float(AFFIRMED_UNHEARD)
        words = tuple(speak_figures(saying.heard).split()) if saying.heard else ()
        took = timedelta(seconds=0.8 if saying.saying == _SLOW else 0.4) * _DIGITS
        now = run.state.now
        run.send(Heard(words, saying.score, (), (), now, now + took))
        run.finish_speaking()
        if run.state.phase is Phase.CONFIRMING:
            return _count(ends, _verdict(run.state.pending == int(string)), weight)
        if run.state.phase is Phase.STANDING_BY:
            break
    return _count(ends, "waits", weight)


_TASK = """\
task: pressure
title: Read a pressure
revision: "1"
notice: Everything here is invented.
approved_data: {reference: QX 12, revision: "7"}
applicability: {aircraft: Any 1, component: bottle}
steps:
  - id: pressure
    instruction: Read the pressure.
    expect: {reading: pressure, unit: psi, resolution: 1, limits: {min: 0, max: 9999}}
"""


def _groups(found: Iterable[Saying]) -> list[list[Saying]]:
    groups: dict[object, list[Saying]] = {}
    for each in found:
        groups.setdefault((each.speaker, each.string, each.level_db), []).append(each)
    return list(groups.values())


def _same(pairs: list[tuple[Saying, Saying]]) -> str:
    return f"{_share(one.heard == other.heard for one, other in pairs)} of {len(pairs)}"


def main() -> None:
    """Measure and print; or print what was measured and kept."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--strings", type=int, default=40, help="of each person")
    parser.add_argument("--keep", type=Path, help="write each hearing to this file")
    parser.add_argument("--kept", type=Path, help="count what such a file holds, and hear nothing")
    chosen = parser.parse_args()
    if chosen.kept:
        found = [Saying(**each) for each in json.loads(chosen.kept.read_text())]
    else:
        found = heard(chosen.strings)
    if chosen.keep:
        chosen.keep.write_text(json.dumps([asdict(each) for each in found]))
    print("\n".join((*counted(found), "", *questions(found))))


if __name__ == "__main__":
    main()
