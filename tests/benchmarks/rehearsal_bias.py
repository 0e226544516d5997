"""By how much people are heard otherwise than synthetic voices: prints `rehearse/bias.toml`.

`python -m tests.benchmarks.rehearsal_bias [--limit N] [--keep FILE]`. People read numbers: readings
of AN4 by the reporting half of the speakers, and strings of the strangers' digits. Synthetic voices
say the same numbers. All go through the same noises at the same ratios, and are heard as plain
numbers and believed as in a run. The reader was trained on the strangers' digits and on other
sayings of these synthetic voices, but on nobody of the reporting half: see models/training.

What was heard is kept in FILE, so that a run that was ended goes on from there.
"""

import argparse
import json
from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import timedelta
from itertools import zip_longest
from pathlib import Path

import numpy as np

from handsfree.acoustics.mixing import Surroundings, heard_in
from handsfree.engine.trust import is_believed
from handsfree.hearing.audio import SAMPLE_RATE, Audio, Samples
from handsfree.hearing.opening import open_recognizer
from handsfree.rehearse.bias import AtRatio, Heard
from handsfree.rehearse.listening import USUAL_NOISES, noise_of
from handsfree.rehearse.plan import lowest, number
from handsfree.rehearse.voices import Speakers, VoiceKind, chosen_voices
from handsfree.words.meanings import Understood
from tests.benchmarks.situations import NUMBER
from tests.benchmarks.speech import REPORTING, Clip, an4_clips, audio_of, digit_strings

LEVELS_DB = (20.0, 10.0)
_VOICES = 8
_SILENCE = np.zeros(round(0.3 * SAMPLE_RATE), np.float32)


@dataclass(frozen=True, slots=True)
class Said:
    """A number in words, by somebody, at a ratio."""

    name: str
    people: bool
    source: str  # an4, digits, or the name of a voice
    words: str
    snr_db: float


def sayings(clips: list[Clip], voices: tuple[VoiceKind, ...]) -> Iterator[tuple[Said, Clip]]:
    """Each clip, and the same words by a voice, at each ratio."""
    for at, clip in enumerate(clips):
        words = " ".join(clip.words)
        source = "digits" if clip.kind == "digits" else "an4"
        voice = voices[at % len(voices)].name
        for snr_db in LEVELS_DB:
            yield Said(f"{at}:people:{snr_db:g}", True, source, words, snr_db), clip
            yield Said(f"{at}:voices:{snr_db:g}", False, voice, words, snr_db), clip


def main() -> None:
    """Listen, or go on listening, and print the table."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.rehearsal_bias")
    parser.add_argument("--limit", type=int, default=10_000, help="clips of each kind")
    parser.add_argument("--keep", type=Path, help="what was heard before, and goes on in")
    parser.add_argument("--print", action="store_true", help="only what was heard before")
    asked = parser.parse_args()
    readings = [each for each in an4_clips("reading") if each.half == REPORTING]
    strings = digit_strings(each=max(1, asked.limit // 3))
    # By turns, so that what was heard until a run ended is of both.
    pairs = zip_longest(readings[: asked.limit], strings[: asked.limit])
    clips = [each for pair in pairs for each in pair if each is not None]
    voices = chosen_voices(_VOICES)
    kinds = {each.name: each for each in voices}
    found: dict[str, str] = {}
    if asked.keep and asked.keep.exists():
        found = dict(map(json.loads, asked.keep.read_text(encoding="utf-8").splitlines()))
    speakers, recognizer = Speakers(), open_recognizer()
    work = list(sayings(clips, voices))
    for said, clip in [] if asked.print else work:
        if said.name in found:
            continue
        clean = (
            audio_of(clip).samples if said.people else speakers.say(kinds[said.source], said.words)
        )
        found[said.name] = _result(said, clean, recognizer)
        if asked.keep:
            with asked.keep.open("a", encoding="utf-8") as file:
                print(json.dumps([said.name, found[said.name]]), file=file)
    speakers.close()
    _print([each for each in work if each[0].name in found], found)


def _result(said: Said, clean: Samples, recognizer: object) -> str:
    noise = lowest(USUAL_NOISES, said.name.replace("people", "").replace("voices", ""))
    around = Surroundings(noise_of(noise), said.snr_db)
    sound = heard_in(np.concatenate([_SILENCE, clean, _SILENCE]), around, number(said.name))
    heard = recognizer.recognize(Audio(sound, timedelta(0)), NUMBER)  # type: ignore[attr-defined]
    parsed, meant = NUMBER.parse(heard.words), NUMBER.parse(said.words.split())
    if not isinstance(parsed, Understood) or not is_believed(heard.score, parsed):
        return "asked"
    return "right" if parsed == meant else "wrong"


def _print(work: list[tuple[Said, Clip]], found: dict[str, str]) -> None:
    counts: dict[tuple[float, bool], Counter[str]] = defaultdict(Counter)
    sources: dict[tuple[str, float], Counter[str]] = defaultdict(Counter)
    for said, _ in work:
        counts[said.snr_db, said.people][found[said.name]] += 1
        sources[said.source if said.people else "voices", said.snr_db][found[said.name]] += 1
    print("| who | dB | said | right | asked again | wrong |\n|" + " --- |" * 6)
    for (source, snr_db), count in sorted(sources.items()):
        cells = (count.total(), count["right"], count["asked"], count["wrong"])
        print(f"| {source} | {snr_db:g} | {' | '.join(map(str, cells))} |")
    for snr_db in LEVELS_DB:
        people, voices = (_heard(counts[snr_db, each]) for each in (True, False))
        row = AtRatio(snr_db=snr_db, people=people, voices=voices)
        for result in ("asked", "wrong"):
            apart = row.difference("asked" if result == "asked" else "wrong")
            print(f"# {snr_db:g} dB, {result}: people {apart.low:+.3f} to {apart.high:+.3f}")
        print("\n[[at]]")
        print(f"snr_db = {snr_db}")
        for name, each in (("people", people), ("voices", voices)):
            print(f"{name} = {{of = {each.of}, asked = {each.asked}, wrong = {each.wrong}}}")


def _heard(count: Counter[str]) -> Heard:
    return Heard(of=count.total(), asked=count["asked"], wrong=count["wrong"])


if __name__ == "__main__":
    main()
