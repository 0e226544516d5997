"""What a record of several people tells: who worked how long, what is open, what was undone."""

from collections.abc import Iterable
from datetime import timedelta
from pathlib import Path

import pytest

from handsfree.engine.phase import Phase
from handsfree.record import Record
from handsfree.record.labour import labour_of_people
from handsfree.record.readings import readings
from handsfree.record.replay import left_off, replay
from handsfree.record.summary import summarise
from handsfree.record.summary_text import as_text
from handsfree.record.verify import verify
from handsfree.running.loop import run
from handsfree.running.parts import Utterance
from handsfree.words.heard import Heard
from handsfree.words.phrases import PhraseSet
from tests.engine.people_task import (
    ADA,
    AGREED,
    INSPECTED,
    PEOPLE,
    RUAN,
    SEFA,
    TARN,
    TASK,
    TO_LOCK,
    TO_PRESSURE,
    TODAY,
    VALVE,
)
from tests.record.runs import NoScreen, NoSync, Voice, entries_of

SAID = (
    *TO_PRESSURE,
    *("one five zero zero", "second one six zero zero"),
    *TO_LOCK[len(TO_PRESSURE) :],
    *("lock tied", *INSPECTED[:2], "rejected", "the tie is loose", "lock tied", *INSPECTED),
    *("one five", "affirm", *INSPECTED, "back to step seven", "affirm"),
    *("one six", "affirm", *INSPECTED),
    *("hand over", "go ahead", SEFA, "affirm", TARN, "affirm", "affirm", "affirm", "affirm"),
    *("unable", "the hinge is bent", "part", *AGREED),
    *("close finding one", RUAN, "affirm", "a new hinge is fitted"),
    *("back to step niner", "affirm", "unable", "no cover", "part", *AGREED, "pin removed"),
)


class EveryMinute:
    """An ear that hears something each minute, by a stopwatch of its own."""

    def __init__(self, said: Iterable[str]) -> None:
        self._said = iter(said)
        self.now = timedelta(0)

    def hear(self, phrases: PhraseSet, until: timedelta | None = None) -> Utterance | None:
        words = next(self._said, None)
        self.now += timedelta(minutes=1)
        if words is None:
            return None
        heard = Heard(tuple(words.split()), 1.0, (), (), self.now, self.now)
        return Utterance(heard, None, "test")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("people") / "run"
    ear = EveryMinute(SAID)
    with Record(folder, VALVE, lambda: TODAY, lambda: ear.now, files=NoSync()) as record:
        end = run(TASK, ear, record, Voice(), NoScreen(), people=PEOPLE, utc_now=lambda: TODAY)
    assert end.phase is Phase.FINISHED
    return folder


@pytest.fixture(scope="module")
def text(folder: Path) -> str:
    return as_text(summarise(TASK, entries_of(folder), verify(folder), "head"))


def section(text: str, head: str) -> str:
    return text.partition(f"## {head}\n\n")[2].partition("\n\n## ")[0]


def test_the_record_replays(folder: Path) -> None:
    assert [each for turn in replay(TASK, entries_of(folder)) for each in turn.differences] == []


def test_labour_is_counted_for_each_person_and_role(folder: Path) -> None:
    found = {(each.name, each.role.value): each for each in labour_of_people(entries_of(folder))}
    assert set(found) == {
        ("Tarn Osk", "technician"),
        ("Sefa Lund", "second person"),
        ("Ines Varga", "inspector"),
        ("Sefa Lund", "technician"),
        ("Tarn Osk", "second person"),
    }
    # Each inspection but the rejected one: from "affirm" to "inspected", one minute.
    assert found["Ines Varga", "inspector"].work == timedelta(minutes=4)
    # From "affirm" of the staff number to "hand over": 34 utterances later.
    handed = SAID.index("hand over")
    assert found["Tarn Osk", "technician"].work == timedelta(minutes=handed - 1)


def test_who_worked_before_the_program_ended_is_not_at_work_after_it(tmp_path: Path) -> None:
    """Nobody knows who is still there: whoever is, says so again, and is counted from then."""
    folder, to_pressure = tmp_path / "run", len(TO_PRESSURE)
    ear = EveryMinute(TO_PRESSURE)
    with Record(folder, VALVE, lambda: TODAY, lambda: ear.now, files=NoSync()) as record:
        run(TASK, ear, record, Voice(), NoScreen(), people=PEOPLE, utc_now=lambda: TODAY)
    again = EveryMinute((ADA, "affirm", SEFA, "affirm", "affirm", "affirm", "affirm"))
    with Record.go_on(folder, lambda: TODAY, lambda: again.now, files=NoSync()) as record:
        where = left_off(TASK, entries_of(folder))
        run(TASK, again, record, Voice(), NoScreen(), left_off=where, utc_now=lambda: TODAY)
    found = {each.name: each.work for each in labour_of_people(entries_of(folder))}
    before, after = timedelta(minutes=to_pressure + 1), timedelta(minutes=8)
    assert found == {
        "Tarn Osk": before - timedelta(minutes=2),  # he says who he is, and affirms it
        "Sefa Lund": before - timedelta(minutes=4) + after - timedelta(minutes=4),
        "Ada Quill": after - timedelta(minutes=2),
    }


def test_the_summary_names_who_did_the_work(text: str) -> None:
    """14 CFR 43.9(a)(3), from memory: the name of the person performing the work."""
    did = section(text, "(3) Name of the person who did the work")
    assert did == (
        "- Tarn Osk (OA417): fit-pin, open-valve, pressure, close-valve, part, lock, torque\n"
        "- Sefa Lund (OA522): remove-pin"
    )
    assert "People were not identified" not in text


def test_who_read_back_inspected_or_closed_a_finding_did_not_do_the_work(text: str) -> None:
    assert section(text, "Who did what").partition("Others on the record:\n\n")[2] == (
        "- Sefa Lund (OA522) read back pressure, part\n"
        "- Ines Varga (OA633) inspected lock, torque\n"
        "- Ruan Dell (OA966) closed finding 1"
    )


def test_the_summary_tells_steps_that_are_not_done_and_findings_open_and_closed(text: str) -> None:
    assert "- cover: deferred by maintenance control" in text
    assert (
        "- 1, at cover, part: the hinge is bent, raised by OA522; "
        "closed by Ruan Dell (OA966): a new hinge is fitted" in text
    )
    assert "- 2, at cover, part: no cover, raised by OA522; **open**" in text


def test_the_summary_tells_inspections_handovers_and_what_was_undone(text: str) -> None:
    for told in (
        "- lock: rejected by OA633",
        "- lock: remark on rejected: the tie is loose",
        "- lock: inspected by OA633",
        "- back to torque, undone: torque",
        "- handed over at cover by OA417",
    ):
        assert told in text


def test_a_run_without_a_roster_says_that_people_were_not_identified(tmp_path: Path) -> None:
    from tests.engine.conversation import BOTTLE
    from tests.engine.conversation import TASK as BOTTLE_TASK
    from tests.record.runs import hold

    hold(tmp_path / "run", ("pin fitted",), text=BOTTLE)
    found = verify(tmp_path / "run")
    summary = as_text(summarise(BOTTLE_TASK, entries_of(tmp_path / "run"), found, "head"))
    assert "People were not identified in this run." in summary


def test_both_values_are_in_the_table_where_two_persons_read_different_ones(folder: Path) -> None:
    rows = readings(entries_of(folder))
    assert [(each.figures, each.verdict, each.affirmed) for each in rows[:3]] == [
        ("1500", "two persons read different values", "no"),
        ("1600", "two persons read different values", "no"),
        ("1500", "inside limits", "yes"),
    ]
    assert [each.step for each in rows] == ["pressure"] * 3 + ["torque"] * 2


def test_a_value_that_was_undone_is_not_affirmed_and_the_one_after_it_is(folder: Path) -> None:
    rows = [each for each in readings(entries_of(folder)) if each.step == "torque"]
    assert [(each.value, each.affirmed, each.undone) for each in rows] == [
        ("15", "no", "yes"),
        ("16", "yes", "no"),
    ]


def test_the_summary_tells_an_undone_value_apart_from_those_that_count(text: str) -> None:
    affirmed, _, rest = text.partition("## Readings that were undone, and do not count")
    assert "- torque: 16 " in affirmed
    assert "- torque: 15 " not in affirmed
    assert "- torque: 15 " in rest


def test_a_value_is_no_last_word_where_its_step_was_undone_and_never_redone(
    tmp_path: Path,
) -> None:
    ear = EveryMinute(SAID[: SAID.index("back to step seven") + 2])
    with Record(tmp_path / "run", VALVE, lambda: TODAY, lambda: ear.now, files=NoSync()) as record:
        run(TASK, ear, record, Voice(), NoScreen(), people=PEOPLE, utc_now=lambda: TODAY)
    entries = entries_of(tmp_path / "run")
    last = readings(entries)[-1]
    assert (last.step, last.value, last.affirmed, last.undone) == ("torque", "15", "no", "yes")
    summary = as_text(summarise(TASK, entries, verify(tmp_path / "run"), "head"))
    assert "Readings that were affirmed" in summary  # the pressure, which stands before it
    assert "- torque: 15 " not in summary.partition("that were undone")[0]
    assert "torque" not in summarise(TASK, entries, verify(tmp_path / "run"), "head").standing.done


def test_a_number_that_was_undone_is_not_told_as_read(tmp_path: Path) -> None:
    part = next(at for at, each in enumerate(SAID) if "kilo delta" in each)
    number = next(n for n, each in enumerate(TASK.steps, 1) if each.id == "part")
    spoken = ["one", "two", "three", "four", "five", "six", "seven", "eight", "niner"][number - 1]
    ear = EveryMinute((*SAID[: SAID.index("lock tied")], f"back to step {spoken}", "affirm"))
    assert part < SAID.index("lock tied")
    with Record(tmp_path / "run", VALVE, lambda: TODAY, lambda: ear.now, files=NoSync()) as record:
        run(TASK, ear, record, Voice(), NoScreen(), people=PEOPLE, utc_now=lambda: TODAY)
    found = summarise(TASK, entries_of(tmp_path / "run"), verify(tmp_path / "run"), "head")
    assert any("back to part" in each for each in found.told)
    assert found.identities == ()
