"""The work summary tells what was left undone, and everybody who worked."""

from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from handsfree.record.entries import EntryUnreadable
from handsfree.record.keys import Keys
from handsfree.record.summary import Summary, summarise
from handsfree.record.summary_text import as_text
from handsfree.record.task_file import read_task_of
from handsfree.record.values import value_from
from handsfree.record.verify import verify
from tests.record.runs import SMALL, SMALL_SAID, entries_of, go_on, hold

ENDS_BELOW = f"{SMALL}    then: {{below: end}}\n"
AGAIN_BELOW = f"{SMALL}    then: {{below: pin}}\n"
# A fixed key, in public: it seals nothing real.
ANOTHER = Keys("A. Nother", Ed25519PrivateKey.from_private_bytes(bytes(range(1, 33))))


def summary_of(folder: Path) -> Summary:
    return summarise(read_task_of(folder), entries_of(folder), verify(folder), "head")


def test_a_step_that_was_left_by_what_was_found_is_not_done(tmp_path: Path) -> None:
    hold(tmp_path / "run", ("pin fitted", "nine", "affirm"), text=ENDS_BELOW)
    summary = summary_of(tmp_path / "run")
    assert (summary.standing.done, summary.standing.led_on) == (("pin",), (("pressure", "below"),))
    assert "## Steps that are not done\n\n- pressure: below, " in as_text(summary)


def test_a_step_that_was_left_and_then_done_is_done(tmp_path: Path) -> None:
    said = ("pin fitted", "nine", "affirm", "pin fitted", "one five", "affirm")
    hold(tmp_path / "run", said, text=AGAIN_BELOW)
    summary = summary_of(tmp_path / "run")
    assert (summary.standing.done, summary.standing.led_on) == (("pin", "pressure"), ())


def test_who_goes_on_with_the_work_is_named_beside_who_began_it(tmp_path: Path) -> None:
    """14 CFR 43.9(a)(3), from memory: the name of the person performing the work."""
    hold(tmp_path / "run", SMALL_SAID[:1])
    go_on(tmp_path / "run", keys=ANOTHER)
    summary = summary_of(tmp_path / "run")
    assert [(each.who, each.of) for each in summary.workers] == [
        ("T. Person (by key)", ("pin",)),
        ("A. Nother (by key)", ("pressure",)),
    ]
    assert "- T. Person (by key): pin\n- A. Nother (by key): pressure\n" in as_text(summary)


def test_all_that_the_summary_tells_comes_of_decoding_each_entry_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    hold(tmp_path / "run")
    verified = verify(tmp_path / "run")
    decoded: Counter[int] = Counter()

    def counted(kind: type[Any], fields: dict[str, Any]) -> Any:
        decoded[id(fields)] += 1
        return value_from(kind, fields)

    monkeypatch.setattr("handsfree.record.entries.value_from", counted)
    entries = entries_of(tmp_path / "run")
    summarise(read_task_of(tmp_path / "run"), entries, verified, "head")
    assert decoded == {id(each.fields): 1 for each in entries}


def test_an_entry_that_is_not_known_is_told_and_never_left_out(tmp_path: Path) -> None:
    hold(tmp_path / "run")
    *before, last = entries_of(tmp_path / "run")
    unknown = [*before, replace(last, kind="sung")]
    with pytest.raises(EntryUnreadable, match=f"entry {last.seq}: .*nothing is called 'sung'"):
        summarise(read_task_of(tmp_path / "run"), unknown, verify(tmp_path / "run"), "head")
