"""The work summary tells what was left undone, and everybody who worked."""

from pathlib import Path

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from handsfree.cli.record import read_task_of
from handsfree.record.keys import Keys
from handsfree.record.summary import Summary, as_text, summarise
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
    assert (summary.done, summary.not_done) == (("pin",), (("pressure", "below"),))
    assert "## Steps that are not done\n\n- pressure: below\n" in as_text(summary)


def test_a_step_that_was_left_and_then_done_is_done(tmp_path: Path) -> None:
    said = ("pin fitted", "nine", "affirm", "pin fitted", "one five", "affirm")
    hold(tmp_path / "run", said, text=AGAIN_BELOW)
    summary = summary_of(tmp_path / "run")
    assert (summary.done, summary.not_done) == (("pin", "pressure"), ())


def test_who_goes_on_with_the_work_is_named_beside_who_began_it(tmp_path: Path) -> None:
    """14 CFR 43.9(a)(3), from memory: the name of the person performing the work."""
    hold(tmp_path / "run", SMALL_SAID[:1])
    go_on(tmp_path / "run", keys=ANOTHER)
    summary = summary_of(tmp_path / "run")
    assert summary.people == ("T. Person", "A. Nother")
    assert "T. Person; A. Nother" in as_text(summary)
