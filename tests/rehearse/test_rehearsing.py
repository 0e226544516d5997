"""A whole rehearsal of the short task, by a listener that is told what to hear."""

from datetime import timedelta
from pathlib import Path

import pytest

from handsfree.rehearse.holds_for import stale
from handsfree.rehearse.plan import Scene, number
from handsfree.rehearse.rehearsing import Wanted
from handsfree.rehearse.rewording import WordingRefused, reworded, trouble
from handsfree.words.heard import Heard
from tests.rehearse.stages import (
    PLAIN,
    SHORT,
    Listening,
    rehearsed,
    surely,
    task_in,
)


def test_where_all_is_heard_surely_nothing_is_wrong_and_nothing_asked(tmp_path: Path) -> None:
    found = rehearsed(tmp_path, Listening())
    assert found.results_at().of == 11 * 3 * 3 * 2
    assert (found.results_at().wrong, found.results_at().asked) == (0, 0)
    assert found.taken == ()
    assert {each.finished for each in found.talks} == {True}
    assert [each.voice for each in found.talks] == ["anna", "ben", "carl"]
    assert found.unreached == ()
    assert stale(task_in(SHORT), found) == ()


def without_not(words: str) -> tuple[str, float]:
    return words.replace(" not ", " ").removeprefix("not "), 1.0


def test_a_phrase_that_is_taken_for_its_opposite_is_found_and_named(tmp_path: Path) -> None:
    found = rehearsed(tmp_path, Listening(without_not))
    assert found.taken
    for each in found.taken:
        assert each.kind == "mistake"
        assert each.said != each.heard == without_not(each.said)[0]
        assert each.result == "accepted wrong"
    wrong = {each.step for each in found.steps if each.results.wrong}
    assert wrong == {each.step for each in found.taken}


def test_what_was_heard_once_is_not_heard_again(tmp_path: Path) -> None:
    first, second = Listening(), Listening()
    assert rehearsed(tmp_path, first) == rehearsed(tmp_path, second)
    assert first.done > 150
    assert second.done == 0


@pytest.mark.slow
def test_whoever_is_interrupted_goes_on_from_there(tmp_path: Path) -> None:
    whole = Listening()
    expected = rehearsed(tmp_path / "other", whole)
    first, second = Listening(ends_after=100), Listening()
    with pytest.raises(KeyboardInterrupt):
        rehearsed(tmp_path, first)
    assert rehearsed(tmp_path, second) == expected
    assert second.done == whole.done - 100


def test_after_a_changed_phrase_only_what_it_touches_is_heard(tmp_path: Path) -> None:
    whole, again = Listening(), Listening()
    rehearsed(tmp_path, whole)
    task = reworded(task_in(SHORT), "close-valve", "charging valve closed", "nitrogen shut off")
    found = rehearsed(tmp_path, again, task)
    assert 0 < again.done < whole.done / 6
    assert found.carried_over > 150
    assert stale(task_in(SHORT), found) == ("what is said at the steps",)


def deaf(words: str) -> tuple[str, float]:
    return (words, 0.3) if "charging valve closed" in words else surely(words)


def test_other_words_for_what_is_asked_for_again_are_tried_and_the_best_told(
    tmp_path: Path,
) -> None:
    found = rehearsed(tmp_path, Listening(deaf), wanted=Wanted(10.0, 3))
    assert found.rewordings
    first = found.rewordings[0]
    assert (first.step, first.before) == ("close-valve", "charging valve closed")
    assert trouble(first.results_after) < trouble(first.results_before)
    assert first.results_before.asked >= 3
    assert len(found.rewordings) <= 3


class ByChance(Listening):
    """Half of what is said is asked for again, whatever it is; the seeds are listed."""

    def __init__(self) -> None:
        super().__init__()
        self.seeds: list[int] = []

    def heard(self, scene: Scene) -> Heard:
        self.seeds.append(scene.seed)
        score = 1.0 if number(f"{scene}") % 2 else 0.3
        said = tuple(scene.words.split())
        return Heard(said, score, (), (), timedelta(0), timedelta(seconds=1))


@pytest.mark.slow
def test_a_change_is_judged_by_other_sounds_than_those_that_chose_it(tmp_path: Path) -> None:
    wanted = Wanted(10.0, 0, (("close-valve", "nitrogen shut off"),), talks=False)
    alone, with_change = ByChance(), ByChance()
    rehearsed(tmp_path / "a", alone, wanted=Wanted(10.0, 0, talks=False))
    (change,) = rehearsed(tmp_path / "b", with_change, wanted=wanted).rewordings
    judged = with_change.seeds[len(alone.seeds) :]
    assert set(judged).isdisjoint(alone.seeds)
    assert len(judged) >= change.results_before.of + change.results_after.of
    assert change.answers_before.of == change.answers_after.of == 3 * 3


def test_where_all_is_heard_well_no_other_words_are_told(tmp_path: Path) -> None:
    assert rehearsed(tmp_path, Listening(), wanted=Wanted(10.0, 3)).rewordings == ()


def test_a_phrase_that_a_person_wants_to_try_is_rehearsed_beside_the_other(tmp_path: Path) -> None:
    wanted = Wanted(10.0, 0, (("close-valve", "nitrogen shut off"),))
    (change,) = rehearsed(tmp_path, Listening(deaf), wanted=wanted).rewordings
    assert (change.before, change.after) == ("charging valve closed", "nitrogen shut off")
    assert change.results_after.asked == 0


@pytest.mark.parametrize(
    ("step", "phrase", "why"),
    [
        ("shut-valve", "valve shut", "the task has no step 'shut-valve'"),
        ("temperature", "warm enough", "that step is not answered by a phrase"),
        ("close-valve", "affirm", "'affirm' is a standard word"),
        ("close-valve", "Valve 2", "lower case words with single spaces"),
        ("close-valve", "charging valve opened", "it sounds like another phrase of the task"),
    ],
)
def test_words_that_cannot_stand_there_are_refused(
    tmp_path: Path, step: str, phrase: str, why: str
) -> None:
    with pytest.raises(WordingRefused, match=why):
        rehearsed(tmp_path, Listening(), wanted=Wanted(10.0, 0, ((step, phrase),)))


def half_deaf(words: str) -> tuple[str, float]:
    return words.replace("hose fitted", "hose removed").replace("six", "five"), 1.0


@pytest.mark.slow
def test_what_is_accepted_wrong_in_a_conversation_is_counted_and_named(tmp_path: Path) -> None:
    found = rehearsed(tmp_path, Listening(half_deaf), wanted=PLAIN)
    wrong = [taken for each in found.talks for taken in each.wrong]
    assert wrong
    for taken in wrong:
        assert taken.heard == half_deaf(taken.said)[0] != taken.said
    assert all(taken.read_back for taken in wrong if "six" in taken.said)
    assert not any(each.wrong for each in rehearsed(tmp_path / "b", Listening()).talks)


@pytest.mark.slow
def test_a_person_who_is_asked_again_takes_longer(tmp_path: Path) -> None:
    quick = rehearsed(tmp_path / "a", Listening(), wanted=PLAIN)
    slow = rehearsed(tmp_path / "b", Listening(deaf), wanted=PLAIN)
    for one, other in zip(quick.talks, slow.talks, strict=True):
        assert other.minutes > one.minutes
        assert other.asked_again > one.asked_again == 0
    closing = next(each for each in slow.times if each.step == "close-valve")
    assert closing.turns >= 3
    assert {each.step for each in quick.times} == {each.id for each in task_in(SHORT).steps}
