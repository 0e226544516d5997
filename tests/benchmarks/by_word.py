"""What people can say at the two tasks, word by word, by voices that nothing was tuned on.

    python -m tests.benchmarks.by_word listen --mouth CMD --kept FILE [--never] [--voices ...]
    python -m tests.benchmarks.by_word table --kept FILE

`listen` hears by the shipped listeners and decides as a run does, one hearing by itself; each is
kept in FILE as soon as it was heard, and what is there is not heard again. With `--never` it hears
what must move nothing instead (`vocabulary.py`). `table` prints blocks for RESULTS.md, of the
voices for reporting.
"""

import argparse
import csv
import time
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from pathlib import Path

from rich.console import Console
from rich.progress import track

from tests.benchmarks.by_strangers import ByStrangers
from tests.benchmarks.strangers import LEVELS, Mouth, embedded_listeners, in_noise
from tests.benchmarks.vocabulary import (
    ANOTHER,
    ASKED_AGAIN,
    HARMLESS,
    UNDERSTOOD,
    Entry,
    must_move_nothing,
    vocabulary,
)

_COLUMNS = ("voice", "level", "never", "kind", "words", "at", "heard", "score", "result")
_RESULTS = (UNDERSTOOD, ASKED_AGAIN, HARMLESS, ANOTHER)
Row = Mapping[str, str]


def listen(asked: argparse.Namespace) -> None:
    """Hear what is not kept yet, until all is heard or the time is over."""
    kept: Path = asked.kept
    known = {(row["voice"], row["level"], row["words"], row["at"]) for row in _rows(kept)}
    wanted = [
        (voice, level, entry)
        for voice in asked.voices
        for level in asked.levels
        for entry in (must_move_nothing(voice) if asked.never else vocabulary())
        if (voice, level, entry.words, entry.at) not in known
        and entry.kind in (asked.kinds or (entry.kind,))
    ]
    until = time.monotonic() + 60 * asked.minutes
    said_last: tuple[str, str, str] | None = None
    recognizer = embedded_listeners()
    is_new = not kept.exists()
    with kept.open("a", encoding="utf-8", newline="") as file, Mouth(asked.mouth) as mouth:
        table = csv.DictWriter(file, _COLUMNS)
        if is_new:
            table.writeheader()
        for voice, level, entry in track(wanted, "listening", console=Console(stderr=True)):
            if time.monotonic() > until:
                break
            if said_last != (voice, level, entry.words):
                said_last = (voice, level, entry.words)
                audio = in_noise(mouth.say(voice, entry.words), level, f"{voice}:{entry.words}")
            heard = recognizer.recognize(audio, entry.phrases)
            said = (voice, level, str(entry.never), entry.kind, entry.words, entry.at)
            result = (
                " ".join(heard.words),
                f"{heard.score:.4f}",
                _result(entry, entry.result(heard)),
            )
            table.writerow(dict(zip(_COLUMNS, (*said, *result), strict=True)))
            file.flush()


def _result(entry: Entry, result: str) -> str:
    """Of what must move nothing, to be understood as itself is as harmless as anything."""
    return HARMLESS if entry.never and result == UNDERSTOOD else result


def _rows(kept: Path) -> list[Row]:
    if not kept.exists():
        return []
    with kept.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def table(asked: argparse.Namespace) -> None:
    """Print what is kept: by kind, then by word, then each hearing that was taken for another."""
    rows = [row for row in _rows(asked.kept) if row["voice"] in asked.voices]
    voices = sorted({row["voice"] for row in rows})
    print(f"{len(voices)} voices: {', '.join(voices)}\n")
    columns = (ANOTHER,) if all(row["never"] == "True" for row in rows) else _RESULTS
    _print("kind", rows, columns)
    _print("voice", rows, columns)
    if columns == _RESULTS:
        _print_words(rows)
    for row in rows:
        if row["result"] == ANOTHER:
            where = f"{row['voice']}, {row['level']}"
            print(f"- {where}: '{row['words']}' as '{row['heard']}' {row['score']}")


def _print(by: str, rows: Iterable[Row], columns: tuple[str, ...]) -> None:
    counts: dict[tuple[str, str], Counter[str]] = defaultdict(Counter)
    for row in rows:
        counts[row[by], row["level"]][row["result"]] += 1
    print(f"| {by} | level | said | {' | '.join(columns)} |")
    print(f"| --- | --- | ---: | {' | '.join(['---:'] * len(columns))} |")
    order = {level: at for at, level in enumerate(LEVELS)}
    for (name, level), count in sorted(counts.items(), key=lambda it: (it[0][0], order[it[0][1]])):
        cells = [str(count[each]) for each in columns]
        print(f"| {name} | {level} | {count.total()} | {' | '.join(cells)} |")
    print()


def _print_words(rows: Iterable[Row]) -> None:
    """How many of how many understood each, a column a level; first, those that all did."""
    said: dict[str, Counter[str]] = defaultdict(Counter)
    understood: dict[str, Counter[str]] = defaultdict(Counter)
    for row in rows:
        said[row["words"]][row["level"]] += 1
        understood[row["words"]][row["level"]] += row["result"] == UNDERSTOOD
    levels = [each for each in LEVELS if any(each in count for count in said.values())]
    always = [each for each in said if understood[each] == said[each]]
    print(f"Understood each time: {', '.join(sorted(always))}.\n")
    print(f"| understood, of the times it was said | {' | '.join(levels)} |")
    print(f"| --- |{' ---: |' * len(levels)}")
    for words in sorted(said.keys() - always, key=lambda it: (understood[it].total(), it)):
        cells = [f"{understood[words][level]} of {said[words][level]}" for level in levels]
        print(f"| {words} | {' | '.join(cells)} |")
    print()


def main() -> None:
    """Parse, and do what is asked."""
    commands = ByStrangers(__doc__, listen, table, tuple(LEVELS))
    commands.listen.add_argument("--kinds", nargs="*", help="of the words; all, if not given")
    commands.listen.add_argument("--never", action="store_true", help="what must move nothing")
    commands.do_what_is_asked()


if __name__ == "__main__":
    main()
