"""What can be done to a supervisor's word by people who have all but her key.

`tests.benchmarks.attacks` makes each of them on a copy of a record that Vera has rejected, and
prints what came of it.
"""

import json
import shutil
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import replace
from datetime import timedelta
from functools import partial
from pathlib import Path

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from typer.testing import CliRunner

from handsfree.cli import app as cli
from handsfree.errors import HandsfreeError
from handsfree.record import Record
from handsfree.record.chain import link, read_chain
from handsfree.record.keys import Keys
from handsfree.record.marks import Reviewed, Stopped
from handsfree.record.redact import redact
from handsfree.record.seal import sign
from handsfree.record.trusted import write_trusted
from handsfree.record.verify import verify
from tests.record.runs import KEYS, START, Clock, NoSync, hold, lines_of
from tests.record.test_hostile import chained
from tests.record.test_reviewing import BAD, BOTH, GOOD, OTHER, VERA, give

NAMESAKE = Keys(VERA.name, Ed25519PrivateKey.from_private_bytes(bytes(range(9, 41))))
_ACCEPTED = Reviewed(VERA.name, VERA.public, "supervisor", True, "all well")

Deed = Callable[[Path], object]


def make_base(folder: Path) -> tuple[Path, Path]:
    """A record that she accepted and then rejected, and another that she accepted."""
    hold(folder / "rejected")
    give(folder / "rejected", GOOD)
    give(folder / "rejected", BAD)
    longer = ("pin fitted", "nine", "correction nine", "correction one five", "affirm")
    hold(folder / "accepted", longer)
    give(folder / "accepted", GOOD)
    return folder / "rejected", folder / "accepted"


def attacks(own: Path, other: Path) -> Iterator[tuple[Deed, ...]]:
    """Each is what is done, one after the other."""
    for how in _sealings():
        for signature in ("", "0" * 128, *_signatures_of(own), *_signatures_of(other)):
            yield partial(_append, replace(_ACCEPTED, signature=signature)), how
        yield _with_the_signature_of_her_seal, how
        for line in (*_words_of(own), *_words_of(other)):
            yield partial(_put_line, line), how
            yield partial(_put_line, line | {"accepted": True}), how
        for name, value in (("accepted", True), ("key", OTHER.public), ("remark", "fine")):
            yield partial(_edit, name, value), how
        yield partial(_append, Stopped("pressure", "gone on")), how
    # Others accept, each with a good signature of a key of their own.
    for keys in (KEYS, OTHER, NAMESAKE, Keys(VERA.name, KEYS.private)):
        yield (partial(_accept, keys),)


def _sealings() -> Iterator[Deed]:
    """Nobody seals it; others do; she does, without a look, or by removing sound."""
    yield lambda _: None
    for keys in (KEYS, OTHER, NAMESAKE, VERA):
        yield partial(_seal, keys)
    yield lambda folder: redact(folder, "over", VERA, _clock().utc, files=NoSync())


def ended(attack: tuple[Deed, ...], whole: Path, copy: Path) -> Iterator[str]:
    """What comes of an attack, once for each way in which a supervisor looks."""
    shutil.copytree(whole, copy)
    for deed in attack:
        with suppress(HandsfreeError):  # what refuses has told
            deed(copy)
    trusted = copy.with_name("trusted.yaml")
    write_trusted(trusted, BOTH)
    for options in ([], ["--trusted", str(trusted)]):
        out = copy.with_name("out")
        done = CliRunner().invoke(cli.app, ["export", str(copy), str(out), *options])
        yield _judged(done.exit_code, "Signature: __" in (out / "work-summary.md").read_text())
        shutil.rmtree(out)
    for key in (None, VERA.public, KEYS.public):
        options = [] if key is None else ["--key", key]
        done = CliRunner().invoke(cli.app, ["verify", str(copy), *options])
        word = verify(copy, key).word
        is_hers = word is not None and word.said.accepted and word.said.key == VERA.public
        yield _judged(done.exit_code, is_hers)
    shutil.rmtree(copy)


def _judged(exit_code: int, has_worked: bool) -> str:
    if has_worked:
        return "missed"
    return "told" if exit_code else "harmless"


def _clock() -> Clock:
    return Clock(START + timedelta(days=2))


def _append(value: object, folder: Path) -> None:
    clock = _clock()
    with Record.go_on(folder, clock.utc, clock.since_start, None, NoSync()) as record:
        record.append(value)


def _seal(keys: Keys, folder: Path) -> None:
    clock = _clock()
    with Record.go_on(folder, clock.utc, clock.since_start, keys, NoSync()) as record:
        record.seal()


def _accept(keys: Keys, folder: Path) -> None:
    give(folder, GOOD, keys=keys)


def _with_the_signature_of_her_seal(folder: Path) -> None:
    """Over the very head that the word would stand on."""
    chain = read_chain(folder)
    seal = sign(VERA, chain.entries, chain.head, chain.utc)
    _append(replace(_ACCEPTED, signature=seal.signature), folder)


def _words_of(folder: Path) -> list[dict[str, object]]:
    return [json.loads(line) for line in lines_of(folder) if b'"reviewed"' in line]


def _signatures_of(folder: Path) -> list[str]:
    return [str(each["signature"]) for each in _words_of(folder)]


def _put_line(word: dict[str, object], folder: Path) -> None:
    """The same line again, in its place in the chain and at a time that follows."""
    lines = lines_of(folder)
    last = json.loads(lines[-1])
    place = {"seq": len(lines), "prev": link(lines[-1].rstrip(b"\n"))}
    later = max(float(str(word["offset_ms"])), float(last["offset_ms"]))
    if later != word["offset_ms"]:
        place["offset_ms"] = int(later)
    entries = [*(json.loads(line) for line in lines), word | place]
    (folder / "log.jsonl").write_bytes(chained(entries))


def _edit(name: str, value: object, folder: Path) -> None:
    """Her last word, with another content; the seals over it would tell, so they go."""
    *entries, word = (json.loads(line) for line in lines_of(folder))
    (folder / "log.jsonl").write_bytes(chained([*entries, word | {name: value}]))
    (folder / "seal.json").unlink()
