"""How much the tool says on the long task: `python -m tests.benchmarks.talk [MANNER]`.

Everything is said right at once. Words are those that are spoken; seconds are those of the built-in
voice at its usual speed, and all of them with the pause that a kept voice has after each utterance.
Prints a block for RESULTS.md.
"""

import sys
from collections import Counter, defaultdict
from itertools import pairwise

from rich.progress import track

from handsfree.engine.effects import Effect, Say, Speech
from handsfree.engine.manner import Manner
from handsfree.engine.phase import Phase
from handsfree.speaking.ready import sentences
from handsfree.speaking.silence import BETWEEN_S, without_silence
from handsfree.speaking.to_file import PAUSE_S
from handsfree.speaking.voice import Voice
from tests.long_task import LongRun

_RATE_HZ = 16_000


def kind_of(say: Say, sentence: str, phase: Phase) -> str:
    """What a sentence is for."""
    if sentence.startswith(("Report ", "Read out ")):
        return "what to report"
    if sentence.startswith("Affirm"):
        return "affirm?"
    if say.speech is Speech.NOTICE:
        return "end of the task" if phase is Phase.FINISHED else "begin of the task"
    return str(say.speech.value)


def _spoken(effects: list[Effect]) -> int:
    """How many utterances: a read back and its question are one."""
    says = [each for each in effects if isinstance(each, Say)]
    joined = sum(
        (one.speech, other.speech) == (Speech.READ_BACK, Speech.QUESTION)
        for one, other in pairwise(says)
    )
    return len(says) - joined


def main() -> None:
    """Do the task and print a line for each kind."""
    manner = Manner(sys.argv[1] if len(sys.argv) > 1 else Manner.FULL.value)
    run = LongRun().begin(manner)
    said = [(each, run.state.phase) for each in run.effects if isinstance(each, Say)]
    utterances = _spoken(run.effects)
    people: Counter[str] = Counter()
    while not run.finished:
        words, _ = run.right()
        people[words] += 1
        run.go_on()
        said += [(each, run.state.phase) for each in run.last if isinstance(each, Say)]
        utterances += _spoken(list(run.last))
    pieces = [(kind_of(say, each, at), each) for say, at in said for each in sentences(say.text)]
    voice = Voice(_RATE_HZ)
    seconds: dict[str, float] = defaultdict(float)
    words_of: Counter[str] = Counter()
    number: Counter[str] = Counter()
    aloud = 0.0
    for kind, sentence in track(pieces, "rendering"):
        samples = voice.render(sentence)
        seconds[kind] += len(samples) / _RATE_HZ
        aloud += len(without_silence(samples, _RATE_HZ)) / _RATE_HZ
        words_of[kind] += len(sentence.split())
        number[kind] += 1
    voice.close()
    print("| what is said | sentences | words | seconds |\n| --- | ---: | ---: | ---: |")
    for kind, spent in sorted(seconds.items(), key=lambda each: -each[1]):
        print(f"| {kind} | {number[kind]} | {words_of[kind]} | {spent:.0f} |")
    print(f"| all | {number.total()} | {words_of.total()} | {sum(seconds.values()):.0f} |")
    whole = sum(seconds.values()) + PAUSE_S * utterances
    print(f"\n{utterances} utterances, {whole / 60:.1f} minutes with their pauses")
    aloud += BETWEEN_S * (len(pieces) - utterances)
    print(f"through a device, without the silence around sentences: {aloud:.0f} seconds")
    print(f"by people: {people.total()} utterances, {people['affirm']} of them 'affirm'")


if __name__ == "__main__":
    main()
