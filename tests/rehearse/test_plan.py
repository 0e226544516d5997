"""What is chosen to be said, by seed."""

from collections import Counter
from operator import eq

from handsfree.rehearse.plan import Settings, lowest, trials_of
from handsfree.rehearse.rewording import reworded
from handsfree.rehearse.sayings import Kind
from handsfree.rehearse.trials import planned, stage_of
from tests.rehearse.stages import SETTINGS, SHORT, stage, task_in


def test_each_voice_says_an_answer_a_mistake_and_talk_at_each_moment_at_each_ratio() -> None:
    trials = planned(stage(), SETTINGS)
    number = Counter((one.moment, one.kind, one.scene.voice, one.scene.snr_db) for one in trials)
    assert set(number.values()) == {1}
    assert len(number) == 11 * 3 * 3 * 2


def test_equal_seeds_plan_alike_and_others_otherwise() -> None:
    other = Settings(SETTINGS.voices, SETTINGS.noises, SETTINGS.snrs_db, seed=2)
    assert planned(stage(), SETTINGS) == planned(stage(), SETTINGS)
    assert planned(stage(), SETTINGS) != planned(stage(), other)


def test_at_every_ratio_the_same_is_said_in_the_same_noise_by_another_seed() -> None:
    trials = planned(stage(), SETTINGS)
    loud = [each for each in trials if each.scene.snr_db == 20.0]
    soft = [each for each in trials if each.scene.snr_db == 10.0]
    for one, other in zip(loud, soft, strict=True):
        assert (one.scene.words, one.scene.noise) == (other.scene.words, other.scene.noise)
        assert one.scene.seed != other.scene.seed


def test_a_changed_phrase_leaves_what_is_said_elsewhere_as_it_was() -> None:
    task = reworded(task_in(SHORT), "remove-hose", "charging hose removed", "nitrogen hose stowed")
    before = planned(stage(), SETTINGS)
    after = planned(stage_of(task), SETTINGS)
    changed = {one.moment for one, other in zip(before, after, strict=True) if one != other}
    said = {each.scene.words for each in (*before, *after)}
    assert "nitrogen hose stowed" in said
    last = len(stage().moments) - 1
    assert last in changed
    # Only mistakes know of the phrases of other steps.
    for one, other in zip(before, after, strict=True):
        assert one == other or one.moment == last or one.kind is Kind.MISTAKE
    assert sum(map(eq, before, after)) > 0.7 * len(before)


def test_more_runs_say_more_values() -> None:
    many = Settings(("anna",), ("hangar",), (10.0,), runs=12)
    answers = {
        each.scene.words
        for each in trials_of(stage().task, stage().moments, many)
        if each.kind is Kind.ANSWER and stage().moments[each.moment].name == "temperature/answering"
    }
    assert len(answers) > 6


def test_the_choice_does_not_hang_on_the_order() -> None:
    assert lowest(["a", "b", "c"], "key") == lowest(["c", "a", "b"], "key")


def test_the_same_words_at_another_step_are_another_sound() -> None:
    """Else one saying would be counted as many."""
    many = Settings(SETTINGS.voices, SETTINGS.noises, SETTINGS.snrs_db, runs=3)
    scenes = Counter(each.scene for each in planned(stage(), many) if each.kind is not Kind.MISTAKE)
    affirmed = [each for each in scenes if each.words == "affirm"]
    assert len(affirmed) == 3 * 3 * 2 * 3  # moments, voices, ratios, runs
    assert set(scenes.values()) == {1}
