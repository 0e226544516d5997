"""Who said what, which passes of a step count, and what went wrong, from the record alone."""

from datetime import timedelta
from pathlib import Path

import pytest

from handsfree.record.entries import LoggedEntry
from handsfree.record.marks import Way
from handsfree.record.mishaps import Kind, Mishap, mishaps
from handsfree.record.passes import End, Pass, passes
from handsfree.record.speakers import utterers
from handsfree.record.standing import standing, verdict
from handsfree.task.roles import Role
from handsfree.words.heard import Heard
from tests.engine.people_task import INES, SEFA, TARN
from tests.record.runs import KEYS, SMALL, entries_of, go_on, hold, lines_of
from tests.record.six_runs import RUNS

Runs = dict[str, list[LoggedEntry]]


@pytest.fixture(scope="module")
def runs(tmp_path_factory: pytest.TempPathFactory) -> Runs:
    made = tmp_path_factory.mktemp("six")
    found = {}
    for name, run in RUNS.items():
        run(made / name)
        found[name] = entries_of(made / name)
    return found


def passes_of(found: list[LoggedEntry]) -> tuple[Pass, ...]:
    return passes(found, utterers(found))


def who_said(found: list[LoggedEntry], words: str) -> list[str]:
    said_by = utterers(found)
    return [
        str(said_by[entry.seq].speaker)
        for entry in found
        if isinstance(entry.value, Heard) and " ".join(entry.value.words) == words
    ]


def told(found: list[LoggedEntry]) -> list[tuple[Kind, str]]:
    return [(each.kind, each.what) for each in mishaps(found)]


@pytest.mark.parametrize(
    ("words", "who"),
    [
        (TARN, "Tarn Osk (OA417), technician"),
        (SEFA, "Sefa Lund (OA522), second person"),
        (INES, "Ines Varga (OA633), inspector"),
        ("second one five zero zero", "Sefa Lund (OA522), second person"),
        ("inspected", "Ines Varga (OA633), inspector"),
        ("pin fitted", "Tarn Osk (OA417), technician"),
        ("one five", "Tarn Osk (OA417), technician"),
    ],
)
def test_an_utterance_is_theirs_whom_the_record_knows_by_it(
    runs: Runs, words: str, who: str
) -> None:
    assert set(who_said(runs["perfect"], words)) == {who}


def test_a_remark_on_a_rejection_is_the_inspectors(runs: Runs) -> None:
    assert who_said(runs["rework"], "the tie is loose") == ["Ines Varga (OA633), inspector"]


def test_how_it_was_heard_is_what_the_program_says_and_without_sound_typed(
    runs: Runs,
) -> None:
    ways = {name: {each.way for each in utterers(found).values()} for name, found in runs.items()}
    assert ways.pop("typed by one person") == {Way.TYPED}
    assert set(map(frozenset, ways.values())) == {frozenset({Way.VOICE})}


def test_an_older_record_tells_clips_from_headsets_by_their_source(tmp_path: Path) -> None:
    hold(tmp_path / "run")  # its ear calls itself "test", and the record does not say how it hears
    assert {each.way for each in utterers(entries_of(tmp_path / "run")).values()} == {Way.CLIP}


def test_a_step_that_was_done_again_after_back_to_step_has_two_passes(
    runs: Runs,
) -> None:
    torque = [each for each in passes_of(runs["undone"]) if each.step == "torque"]
    assert [(each.end, each.undone, each.holds) for each in torque] == [
        (End.DONE, True, False),
        (End.DONE, False, True),
    ]
    assert [each.attempts for each in torque] == [1, 1]


def test_a_pass_tells_who_did_affirmed_read_back_and_inspected(
    runs: Runs,
) -> None:
    found = {each.step: each for each in passes_of(runs["rework"])}
    pressure, lock = found["pressure"], found["lock"]
    assert pressure.done_by == "Tarn Osk (OA417)"
    assert pressure.first is not None
    assert pressure.second is not None
    assert (pressure.first.figures, pressure.second.figures) == ("1500", "1500")
    assert pressure.second.by.role is Role.SECOND_PERSON
    assert pressure.clip == pressure.first.clip != pressure.second.clip
    assert pressure.attempts == 2  # the two differed first
    assert lock.rejected == 1
    assert lock.attempts == 2
    assert lock.inspector is not None
    assert lock.inspector.name == "Ines Varga"
    assert lock.affirmed is not None
    assert lock.affirmed.speaker.role is Role.TECHNICIAN
    assert pressure.lowest_score == 0.97


def test_a_pass_lasts_from_its_step_to_the_next_without_standing_by(
    runs: Runs,
) -> None:
    found = {each.step: each for each in passes_of(runs["deferral"])}
    assert found["fit-pin"].work == timedelta(minutes=1)
    assert found["cover"].stand_by == timedelta(minutes=6)  # from "unable" to "affirm"
    agreed = "maintenance control: olan ahl, reference R31"
    assert (found["cover"].end, found["cover"].outcome) == (End.DEFERRED, agreed)


def test_a_pass_that_is_not_left_has_come_to_nothing_yet(tmp_path: Path) -> None:
    """The gauge was asked for, and nothing was said."""
    hold(tmp_path / "run", ("pin fitted",), text=SMALL)
    found = entries_of(tmp_path / "run")
    pin, gauge = passes_of(found)
    assert (pin.step, pin.end, pin.outcome) == ("pin", End.DONE, "done")
    begun = next(each for each in found if each.kind == "step-begun" and each.seq > pin.entry)
    assert gauge == Pass(
        "pressure", begun.seq, begun.at, pin.technician, pin.key_of, work=gauge.work
    )
    told = (gauge.outcome, gauge.end, gauge.ended, gauge.last_entry, gauge.holds)
    assert told == ("", End.OPEN, None, 0, False)
    counted = (gauge.attempts, gauge.rejected, gauge.undone, gauge.stand_by)
    assert counted == (0, 0, False, timedelta(0))
    assert gauge.work == found[-1].offset - begun.offset
    assert gauge.done_by == f"{KEYS.name} (by key)"


def test_a_pass_of_nobody_known_is_done_by_somebody_not_named(tmp_path: Path) -> None:
    hold(tmp_path / "run", ("pin fitted",), text=SMALL, keys=None)
    assert {each.done_by for each in passes_of(entries_of(tmp_path / "run"))} == {
        "somebody not named"
    }


def test_who_takes_over_did_only_what_they_did(runs: Runs) -> None:
    found = passes_of(runs["killed and resumed by another"])
    assert [(each.step, each.done_by) for each in found if each.step in ("part", "lock")] == [
        ("part", "Tarn Osk (OA417)"),
        ("lock", "Ada Quill (OA855)"),
    ]


def test_a_perfect_run_and_a_deferral_have_other_verdicts(
    runs: Runs,
) -> None:
    verdicts = {name: verdict(standing(passes_of(found), found)) for name, found in runs.items()}
    assert "every step of the way taken is done (9)" in verdicts["perfect"]
    assert "BUT NOT EVERY STEP IS DONE: 8 of the 9" in verdicts["deferral"]
    assert "Done again: lock." in verdicts["rework"]
    assert "Undone: torque." in verdicts["undone"]


def test_a_run_that_stands_at_a_step_is_not_finished(tmp_path: Path) -> None:
    hold(tmp_path / "run", ("pin fitted",))
    found = entries_of(tmp_path / "run")
    stands = standing(passes_of(found), found)
    assert verdict(stands).startswith(
        "NOT FINISHED: 1 done of 1 step gone through so far. The run stands at pressure."
    )


def test_nothing_went_wrong_in_a_perfect_run(runs: Runs) -> None:
    assert told(runs["perfect"]) == []


def test_both_values_are_told_where_two_persons_differ(
    runs: Runs,
) -> None:
    assert (Kind.DIFFERENT, "pressure: one read 900, the other 1600") in told(runs["rework"])
    assert (Kind.REJECTED, "lock: by OA633") in told(runs["rework"])


def test_a_killed_program_is_told_once_and_a_stopped_one_is_not(runs: Runs, tmp_path: Path) -> None:
    killed = [kind for kind, _ in told(runs["killed and resumed by another"])]
    assert killed.count(Kind.KILLED) == killed.count(Kind.RESUMED) == 1
    hold(tmp_path / "run", ("pin fitted",))
    go_on(tmp_path / "run")
    kinds = [kind for kind, _ in told(entries_of(tmp_path / "run"))]
    assert Kind.KILLED not in kinds
    assert Kind.INTERRUPTION in kinds
    assert Kind.RESUMED in kinds


def test_a_line_that_was_cut_is_told_beside_the_kill(tmp_path: Path) -> None:
    hold(tmp_path / "run", ("pin fitted",))
    lines = lines_of(tmp_path / "run")
    stopped = next(at for at, line in enumerate(lines) if b'"stopped"' in line)
    (tmp_path / "run" / "log.jsonl").write_bytes(b"".join(lines[:stopped]) + lines[stopped][:40])
    (tmp_path / "run" / "seal.json").unlink()
    go_on(tmp_path / "run")
    kinds = [kind for kind, _ in told(entries_of(tmp_path / "run"))]
    assert kinds.count(Kind.CUT) == kinds.count(Kind.KILLED) == 1


def test_values_that_did_not_count_are_told_with_the_reason(tmp_path: Path) -> None:
    said = ("pin fitted", "two psi", "nine", "correction one four correction one five", "negative")
    hold(tmp_path / "run", (*said, "one six", "correction one five", "affirm"))
    assert [what for _, what in told(entries_of(tmp_path / "run"))] == [
        "pressure: 2 psi, another unit",
        "pressure: 9 bar, below minimum",
        "pressure: 14 was replaced in the same utterance",
        "pressure: the value was said anew, 15 bar",
        "pressure: the value was taken back",
        "pressure: the value was said anew, 15 bar",
    ]


@pytest.mark.parametrize(("by", "way"), [(-3600, "back"), (3600, "forward")])
def test_a_clock_that_was_set_is_told(tmp_path: Path, by: int, way: str) -> None:
    from tests.record.runs import Clock

    clock = Clock()
    hold(
        tmp_path / "run",
        utc_now=lambda: clock.now + timedelta(seconds=by if clock.runs.seconds > 12 else 0),
        since_start=clock.since_start,
    )
    found = [each for each in mishaps(entries_of(tmp_path / "run"))]
    steps = [each for each in found if each.kind is Kind.CLOCK]
    assert len(steps) == 1
    assert steps[0].what.startswith(f"set {way} by 1:00:0")
    assert isinstance(steps[0], Mishap)


def test_a_branch_that_the_task_plans_is_work_done_with_its_value(tmp_path: Path) -> None:
    text = f"{SMALL}    then: {{below: {{go: pin, planned: true}}}}\n"
    said = ("pin fitted", "nine", "affirm", "pin fitted")
    hold(tmp_path / "run", said, text=text)
    found = entries_of(tmp_path / "run")
    passed = passes_of(found)
    assert [(each.step, each.end, each.outcome) for each in passed[:2]] == [
        ("pin", End.DONE, "done"),
        ("pressure", End.DONE, "below, as the task plans"),
    ]
    assert standing(passed, found).led_on == ()
