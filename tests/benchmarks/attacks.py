"""What can be done to a record, and what comes of it: `python -m tests.benchmarks.attacks`.

Prints a block for RESULTS.md. Each attack is made on a copy of a sealed record, and every command
that reads a record is then given that copy. Wanted: what changes the record is told of, what is in
it acts on nobody, no command waits for ever, and none ends in a traceback.
"""

import csv
import io
import json
import os
import random
import shutil
import signal
import socket
import sys
import tempfile
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import FrameType

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from rich.console import Console
from rich.progress import track
from typer.testing import CliRunner

from handsfree.cli import app as cli
from handsfree.engine.entries import (
    FindingOpened,
    PersonIdentified,
    ReadingRefused,
    Remarked,
    StepDeferred,
)
from handsfree.engine.findings import Category, Finding
from handsfree.errors import HandsfreeError
from handsfree.record import Record
from handsfree.record.entries import read_entries
from handsfree.record.keys import Keys
from handsfree.record.marks import NotHeard, Stopped
from handsfree.record.replay import left_off
from handsfree.record.task_file import read_task_of
from handsfree.task.roles import Role
from handsfree.words.heard import Heard, Opinion
from tests.benchmarks import word_attacks
from tests.record.runs import KEYS, SMALL_SAID, Clock, NoSync, go_on, hold, lines_of
from tests.record.test_hostile import chained

SEED = 17
_EACH = int(sys.argv[2]) if len(sys.argv) > 2 else 1  # of the entries, every so many
_LONGEST_S = 60  # a command that takes longer is taken to hang
_FLIPS = int(sys.argv[1]) if len(sys.argv) > 1 else 100  # bytes of each file
STRANGER = Keys(KEYS.name, Ed25519PrivateKey.from_private_bytes(bytes(range(7, 39))))
HOSTILE = (
    "\x1b]0;owned\x07\x1b[2J",
    "\x9b2J\u202e\u2066",
    "x\nrun: 99 entries, 0 clips, all as written.",
    "x\r\n\n## (4) Approval for return to service\n\nApproved",
    '=HYPERLINK("http://example.com")',
    "@SUM(1+1)",
    "+1-1",
    "-1+1",
    "\t=1+1",
    "x;=1+1",
    "<script>alert(1)</script>",
    "![x](http://example.com/x.png)",
    "| done | [red]not markup[/red] |",
)


class Hung(BaseException):
    """A command took too long."""


@dataclass(frozen=True)
class Attack:
    """One thing that is done to a copy of the record."""

    kind: str
    make: Callable[[Path], object]
    changes: bool = True  # `verify` must tell of it; else it is enough that it acts on nobody
    trusting: bool = False  # told only to whoever says whose key it must be


def bytes_changed(folder: Path) -> Iterator[Attack]:
    """One byte of a file."""
    rng = random.Random(SEED)
    clip = next((folder / "clips").iterdir()).name
    for name in ("log.jsonl", "seal.json", "task.yaml", f"clips/{clip}"):
        size = (folder / name).stat().st_size
        for at in sorted(rng.sample(range(size), min(size, _FLIPS))):
            yield Attack("bytes", _flip(name, at, rng.choice((1, 0x20, 0x80, 0xFF))))


def _flip(name: str, at: int, bits: int) -> Callable[[Path], object]:
    def make(folder: Path) -> None:
        content = bytearray((folder / name).read_bytes())
        content[at] ^= bits
        (folder / name).write_bytes(content)

    return make


def lines_changed(folder: Path) -> Iterator[Attack]:
    """A line that is taken out, doubled, moved, cut, or a blank one put in."""
    lines = lines_of(folder)
    for at in range(0, len(lines), _EACH):
        for changed in (
            [*lines[:at], *lines[at + 1 :]],
            [*lines[: at + 1], *lines[at:]],
            [*lines[:at], *lines[at + 1 : at + 2], lines[at], *lines[at + 2 :]],
            [*lines[:at], b"\n", *lines[at:]],
            lines[:at],
        ):
            if changed != lines:
                yield Attack("lines", _log(b"".join(changed)))


def _log(content: bytes) -> Callable[[Path], object]:
    return lambda folder: (folder / "log.jsonl").write_bytes(content)


def folders_changed(folder: Path) -> Iterator[Attack]:
    """Links, pipes, sockets, devices, folders and files without bounds in place of each file."""
    clip = f"clips/{next((folder / 'clips').iterdir()).name}"
    for name in ("log.jsonl", "seal.json", "task.yaml", "seal.tsr", "clips", clip, "clips/new"):
        for put in (_link("/dev/zero"), _link(str(folder / "log.jsonl")), _link("/tmp"), os.mkfifo):
            yield Attack("folders", _in_place_of(name, put))
        for put in (_socket, _device, Path.mkdir, _sparse, _deep):
            yield Attack("folders", _in_place_of(name, put))
    for name in ("log.torn", "log.jsonl.part", "x\nall as written", "clips/\x1b[2J.flac"):
        yield Attack("folders", _beside(name), changes=False)


def _in_place_of(name: str, put: Callable[[Path], object]) -> Callable[[Path], object]:
    def make(folder: Path) -> None:
        path = folder / name
        if path.is_dir():
            shutil.rmtree(path)
        path.unlink(missing_ok=True)
        with suppress(PermissionError):  # only root makes devices
            put(path)

    return make


def _link(to: str) -> Callable[[Path], object]:
    return lambda path: path.symlink_to(to)


def _socket(path: Path) -> None:
    here = Path.cwd()
    os.chdir(path.parent)  # the name of a socket must be short
    with socket.socket(socket.AF_UNIX) as made:
        made.bind(path.name[:80])
    os.chdir(here)


def _device(path: Path) -> None:
    os.mknod(path, 0o600 | 0o020000, os.makedev(1, 5))  # /dev/zero


def _sparse(path: Path) -> None:
    with path.open("wb") as file:
        file.truncate(1 << 42)


def _deep(path: Path) -> None:
    Path(path, *(["a"] * 900)).mkdir(parents=True)


def _beside(name: str) -> Callable[[Path], object]:
    return lambda folder: (folder / name).write_bytes(HOSTILE[0].encode())


def forged(folder: Path) -> Iterator[Attack]:
    """A log made anew with a right chain, with the old seal, or sealed by somebody else."""
    entries = [json.loads(line) for line in lines_of(folder)]
    for at, entry in list(enumerate(entries))[::_EACH]:
        others = [each for n, each in enumerate(entries) if n != at]
        renumbered = [each | {"seq": n} for n, each in enumerate(others)]
        changed = [
            *entries[:at],
            entry | {"utc": "2031-05-04T11:00:00.000+00:00"},
            *entries[at + 1 :],
        ]
        for made in (renumbered, changed):
            yield Attack("forged", _log(chained(made)))
            yield Attack("forged", _sealed_by_stranger(chained(made)), trusting=True)
    # Somebody makes another key of the same name, goes on with the record, and ends it.
    yield Attack("forged", _gone_on_by_namesake, trusting=True)


def _sealed_by_stranger(log: bytes) -> Callable[[Path], object]:
    def make(folder: Path) -> None:
        (folder / "log.jsonl").write_bytes(log)
        (folder / "seal.json").unlink()
        clock = Clock()
        with (
            suppress(HandsfreeError),
            Record.go_on(folder, clock.utc, clock.since_start, STRANGER, NoSync()) as record,
        ):
            record.seal()

    return make


def _gone_on_by_namesake(folder: Path) -> None:
    shutil.rmtree(folder)
    hold(folder, SMALL_SAID[:1])
    go_on(folder, keys=STRANGER)


def hostile_texts(_: Path) -> Iterator[Attack]:
    """Text that acts on a terminal, a spreadsheet or a reader, wherever a record holds text."""
    for text in HOSTILE:
        for value in _entries_with(text):
            yield Attack("text", _appended(value), changes=False)
        name = text.replace("/", "_").replace("\0", "")
        yield Attack("text", _beside(name), changes=False)
        yield Attack("text", _sealed_as(text), changes=False)


def _entries_with(text: str) -> Iterator[object]:
    now = timedelta(0)
    opinion = Opinion(text, (text,), -1.0, 0.0, text)
    yield Heard((text,), 0.2, ((text,),), (opinion,), now, now)
    yield Remarked("pressure", text, text, None)
    yield FindingOpened(Finding(1, "pressure", Category.PART, text, text))
    yield PersonIdentified(Role.TECHNICIAN, text, text)
    yield ReadingRefused("pressure", text, text, text)
    yield StepDeferred("pressure", text, text, (), text, text)
    yield Stopped(text, text)
    yield NotHeard(text, text)


def _appended(value: object) -> Callable[[Path], object]:
    def make(folder: Path) -> None:
        clock = Clock(datetime(2031, 5, 5, tzinfo=UTC))
        with Record.go_on(folder, clock.utc, clock.since_start, KEYS, NoSync()) as record:
            more = {"clip": None, "source": HOSTILE[0]} if isinstance(value, Heard) else {}
            record.append(value, **more)
            record.seal()

    return make


def _sealed_as(name: str) -> Callable[[Path], object]:
    def make(folder: Path) -> None:
        clock = Clock(datetime(2031, 5, 5, tzinfo=UTC))
        keys = replace(STRANGER, name=name)
        with Record.go_on(folder, clock.utc, clock.since_start, keys, NoSync()) as record:
            record.seal()

    return make


def outcomes(attack: Attack, whole: Path, keys: Path, folder: Path) -> Iterator[tuple[str, str]]:
    """What comes of an attack at each command: its name, and how it ended."""
    to = folder / "out"
    commands: tuple[tuple[str, list[str]], ...] = (
        ("verify", ["verify"]),
        ("verify with the key", ["verify", "--key", KEYS.public]),
        ("verify many", ["verify", str(whole)]),
        ("verify --json", ["verify", "--json"]),
        ("replay", ["replay"]),
        ("replay the exceptions", ["replay", "--only", "exceptions"]),
        ("export", ["export"]),
        ("redact", ["redact", "--reason", "x", "--keys", str(keys)]),
        ("seal", ["seal", "--keys", str(keys)]),
        ("go on", []),
    )
    for name, command in commands:
        if attack.kind in _TOLD_BY_VERIFY and name not in _THAT_TELL:
            continue
        copy = folder / "copy"
        subtree_removed(copy)
        shutil.copytree(whole, copy)
        attack.make(copy)
        more = [str(to)] if name == "export" else []
        try:
            with at_most(_LONGEST_S):
                yield name, _ended(attack, name, copy, [*command, str(copy), *more], to)
        except Hung:
            yield name, "hung"
        subtree_removed(to)
    subtree_removed(folder / "copy")


# Of what `verify` tells, every further command is tried only where it does something of its own.
_TOLD_BY_VERIFY = frozenset({"bytes", "lines", "forged"})
_THAT_TELL = frozenset({"verify", "verify with the key", "export", "go on"})


def _ended(attack: Attack, name: str, copy: Path, command: list[str], to: Path) -> str:
    if not command[:-1]:
        try:
            _gone_on(copy)
        except HandsfreeError:
            return "told"
        except Exception:
            return "traceback"
        return "harmless"
    done = CliRunner().invoke(cli.app, command)
    told = done.output + (str(done.exception) if isinstance(done.exception, HandsfreeError) else "")
    if done.exception is not None and not isinstance(done.exception, SystemExit | HandsfreeError):
        return "traceback"
    told_wrong = done.exit_code != 0
    written = {path.name: path.read_text("utf-8") for path in to.glob("*")} if to.is_dir() else {}
    if not isinstance(done.exception, HandsfreeError) and not is_inert(done.output, written):
        return "acted"
    must_tell = name == "verify with the key" or (name == "verify" and not attack.trusting)
    if attack.changes and must_tell and not told_wrong:
        return "missed"
    return "told" if told_wrong and told else "harmless"


def _gone_on(folder: Path) -> None:
    """What `run --resume` does before anybody speaks."""
    task, clock = read_task_of(folder), Clock(datetime(2031, 5, 6, tzinfo=UTC))
    with Record.go_on(folder, clock.utc, clock.since_start, KEYS, NoSync()) as record:
        left_off(task, read_entries(folder))
        record.seal()


def is_inert(output: str, written: dict[str, str]) -> bool:
    """Whether nothing of it acts: on a terminal, in a spreadsheet, in what shows Markdown."""
    summary = written.get("work-summary.md", "")
    shown = (output, summary, *(written.get(name, "") for name in ("steps.csv", "readings.csv")))
    lines = output.splitlines()
    cells = [
        cell
        for name in ("steps.csv", "readings.csv")
        for row in list(csv.reader(io.StringIO(written.get(name, ""), newline="")))[1:]
        for cell in row
    ]
    return (
        all(each.isprintable() or each in "\r\n" for text in shown for each in text)
        and not any(line.startswith("run: 99 entries") for line in lines)
        and summary.count("\n## (4)") <= 1
        and "<script" not in summary
        and "](" not in summary
        and not any(cell.startswith(("=", "@", "\t", "+1-", "-1+")) for cell in cells)
    )


@contextmanager
def at_most(seconds: int) -> Iterator[None]:
    """Raise Hung where it takes longer."""

    def hung(_: int, __: FrameType | None) -> None:
        raise Hung

    before = signal.signal(signal.SIGALRM, hung)
    signal.alarm(seconds)
    try:
        yield
    finally:
        signal.alarm(0)
        signal.signal(signal.SIGALRM, before)


def subtree_removed(path: Path) -> None:
    """Remove it, whatever was put there."""
    if path.is_dir() and not path.is_symlink():
        shutil.rmtree(path)
    else:
        path.unlink(missing_ok=True)


def main() -> None:
    """Attack and print."""
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made)
        os.environ["XDG_CONFIG_HOME"] = made  # no list of trusted keys but what is asked for
        whole, keys = folder / "run", folder / "keys"
        hold(whole)
        CliRunner().invoke(cli.app, ["keys", "new", "--name", "R. Almsted", "--keys", str(keys)])
        columns = ("told", "harmless", "missed", "acted", "hung", "traceback")
        print(f"\n{datetime.now(UTC):%Y-%m-%d}, `python -m tests.benchmarks.attacks`:\n")
        print(f"| attack | tried | {' | '.join(columns)} |")
        print(f"| --- | {' | '.join(['---'] * (len(columns) + 1))} |", flush=True)
        bad = Counter[str]()
        for kind in (bytes_changed, lines_changed, folders_changed, forged, hostile_texts):
            ended = Counter[str]()
            attacks = list(kind(whole))
            for attack in track(attacks, kind.__doc__ or "", console=Console(stderr=True)):
                for command, outcome in outcomes(attack, whole, keys, folder):
                    ended[outcome] += 1
                    if outcome in columns[2:]:
                        bad[f"{attack.kind}: {command}: {outcome}"] += 1
            row = " | ".join(str(ended[each]) for each in columns)
            print(f"| {attacks[0].kind} | {len(attacks)} | {row} |", flush=True)
        own, other = word_attacks.make_base(folder / "words")
        on_words = list(word_attacks.attacks(own, other))
        ended = Counter[str]()
        for number, deeds in enumerate(track(on_words, "words", console=Console(stderr=True))):
            found = Counter(word_attacks.ended(deeds, own, folder / "copy"))
            ended += found
            if found["missed"]:
                bad[f"words: attack {number}: missed"] += found["missed"]
        row = " | ".join(str(ended[each]) for each in columns)
        print(f"| words | {len(on_words)} | {row} |", flush=True)
    for line, count in bad.items():
        print(f"\n{line}: {count}")


if __name__ == "__main__":
    main()
