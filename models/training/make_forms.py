"""Let strangers say values in every form a task can allow, to measure with; never to train on.

    python3 models/training/make_forms.py --kokoro-voices package/voices --strangers 6

The strangers are voices of other languages, which speak English with a colour of their own: they
must not be among the people that `make_data.py` recorded, and a clash is refused. What they say is
in tests/benchmarks/forms.csv; tests/benchmarks/forms.py listens to it.
"""

import argparse
import csv
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from pathlib import Path

from corpus import read_clips, write_recording
from rich.progress import track
from voices import Speaker, speak

_HERE = Path(__file__).resolve().parent
_ENGLISH = "ab"  # the first letter of a voice's name is its language


def main() -> None:
    """Parse, check that they are strangers, record."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--kokoro-voices", type=Path, required=True, help="folder of *.bin")
    parser.add_argument("--strangers", type=int, default=6)
    parser.add_argument("--corpus", type=Path, default=_HERE / ".cache/corpus")
    parser.add_argument("--out", type=Path, default=_HERE / ".cache/forms")
    arguments = parser.parse_args()
    names = [each.stem for each in sorted(arguments.kokoro_voices.glob("*.bin"))]
    foreign = [name for name in names if name[0] not in _ENGLISH]
    # The last ones in order of name: `make_data.py` begins with the first.
    step = max(1, len(foreign) // 2 // arguments.strangers)
    chosen = foreign[::-1][: step * arguments.strangers : step]
    # A person of the corpus has the number of their place in the cast, 40 before the first voice.
    trained = {each.speaker for each in read_clips(arguments.corpus)}
    known = [name for name in chosen if f"kokoro-{40 + names.index(name):03d}" in trained]
    if known:
        raise SystemExit(f"{', '.join(known)}: trained on. Ask for fewer strangers.")
    with (_HERE.parents[1] / "tests/benchmarks/forms.csv").open(encoding="utf-8") as file:
        texts = [row["words"] for row in csv.DictReader(file)]
    arguments.out.mkdir(parents=True, exist_ok=True)
    with ProcessPoolExecutor(2) as pool:
        record = partial(_record, texts, arguments.kokoro_voices, arguments.out)
        for _ in track(pool.map(record, chosen), "speaking", total=len(chosen)):
            pass


def _record(texts: list[str], voices: Path, out: Path, voice: str) -> None:
    stranger = Speaker(voice, "kokoro", voice, tract=1.0, pace=1.0)
    said = [(text, speak(stranger, text, voices)) for text in texts]
    write_recording(out / f"{voice}.flac", voice, said)


if __name__ == "__main__":
    main()
