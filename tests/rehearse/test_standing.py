"""Whether the bound of a task holds."""

from decimal import Decimal

import pytest

from handsfree.rehearse import bias
from handsfree.rehearse.bias import AtRatio, Bias, Heard
from handsfree.rehearse.intervals import Verdict, interval, runs_needed
from handsfree.rehearse.report import LeftOut, Rehearsal, Results, StepResults
from handsfree.rehearse.standing import Speech, holds, percent, standings
from handsfree.task.hearing_bound import HearingBound
from tests.rehearse.reports import REPORT

BOUND = HearingBound(wrong_below=Decimal("0.02"), at_snr=Decimal(10))


@pytest.fixture(autouse=True)
def _measured(monkeypatch: pytest.MonkeyPatch) -> None:
    """Ten thousand each, equally well heard: a bias of nearly nothing."""
    many = Heard(of=100_000, asked=1_000, wrong=0)
    row = AtRatio(snr_db=10, people=many, voices=many)
    made = Bias(made_with="-", made_on="2026-11-29", speech="people", at=(row,))  # type: ignore[arg-type]
    monkeypatch.setattr(bias, "measured_bias", lambda: made)


def report(right: int, wrong: int, recorded: tuple[int, int] = (0, 0)) -> Rehearsal:
    def rows(right: int, wrong: int) -> tuple[StepResults, ...]:
        results = Results(right=right, asked=0, wrong=wrong)
        return (StepResults(step="fit", kind="answer", snr_db=10.0, results=results),)

    people = rows(*recorded) if sum(recorded) else ()
    return REPORT.model_copy(update={"steps": rows(right, wrong), "recorded": people})


@pytest.mark.parametrize(
    ("right", "wrong", "verdict"),
    [
        (1_000, 0, Verdict.HOLDS),
        (100, 0, Verdict.TOO_FEW),
        (900, 100, Verdict.DOES_NOT_HOLD),
        (980, 20, Verdict.TOO_FEW),
    ],
)
def test_the_verdict_is_told_by_the_interval(right: int, wrong: int, verdict: Verdict) -> None:
    (found,) = standings(report(right, wrong), BOUND)
    assert (found.speech, found.verdict) == (Speech.SYNTHETIC, verdict)


def test_where_there_are_too_few_it_is_told_how_many_it_takes() -> None:
    (found,) = standings(report(100, 0), BOUND)
    assert found.more_runs is not None
    assert interval(0, found.more_runs).high < 0.02
    assert f"It takes {found.more_runs:,} sayings in all" in found.describe(BOUND)


def test_of_the_bound_only_what_the_bias_leaves_is_for_the_count(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Near 100 % the sum of both is cut off, which must not make the bias look small."""
    many = Heard(of=1_000, asked=0, wrong=0)
    worse = Heard(of=1_000, asked=0, wrong=10)
    row = AtRatio(snr_db=10, people=worse, voices=many)
    made = Bias(made_with="-", made_on="2026-11-29", speech="people", at=(row,))  # type: ignore[arg-type]
    monkeypatch.setattr(bias, "measured_bias", lambda: made)
    (found,) = standings(report(1, 0), HearingBound(wrong_below="0.1", at_snr=10))  # type: ignore[arg-type]
    left = 0.1 - row.difference("wrong").high
    assert 0.07 < left < 0.085
    assert found.more_runs == runs_needed(left)


def test_in_more_noise_than_was_measured_with_people_voices_can_show_nothing() -> None:
    noisy = HearingBound(wrong_below=Decimal("0.5"), at_snr=Decimal(5))
    rows = report(100_000, 0).steps[0].model_copy(update={"snr_db": 5.0})
    (found,) = standings(REPORT.model_copy(update={"steps": (rows,)}), noisy)
    assert (found.verdict, found.more_runs) == (Verdict.TOO_FEW, None)
    assert (found.interval.low, found.interval.high) == (0.0, 1.0)


def test_where_the_bias_alone_is_wider_than_the_bound_no_number_is_enough(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    few = Heard(of=20, asked=0, wrong=0)
    row = AtRatio(snr_db=10, people=few, voices=few)
    made = Bias(made_with="-", made_on="2026-11-29", speech="people", at=(row,))  # type: ignore[arg-type]
    monkeypatch.setattr(bias, "measured_bias", lambda: made)
    (found,) = standings(report(100_000, 0), BOUND)
    assert (found.verdict, found.more_runs) == (Verdict.TOO_FEW, None)
    assert "No number of synthetic voices can show it" in found.describe(BOUND)


def test_recordings_of_people_come_first_and_stand_without_the_bias() -> None:
    first, second = standings(report(100, 0, recorded=(1_000, 0)), BOUND)
    assert (first.speech, first.verdict) == (Speech.RECORDED, Verdict.HOLDS)
    assert second.verdict is Verdict.TOO_FEW
    assert first.interval == first.count.interval


@pytest.mark.parametrize(
    ("synthetic", "recorded", "held"),
    [
        ((1_000, 0), (0, 0), True),
        ((100, 0), (1_000, 0), True),
        ((1_000, 0), (800, 200), False),
        ((800, 200), (1_000, 0), False),
        ((100, 0), (0, 0), False),
    ],
)
def test_it_holds_where_one_kind_shows_it_and_none_the_contrary(
    synthetic: tuple[int, int], recorded: tuple[int, int], held: bool
) -> None:
    assert holds(report(*synthetic, recorded=recorded), BOUND) is held


@pytest.mark.parametrize("recorded", [(1_000, 0), (0, 0)])
def test_with_recordings_left_out_for_other_words_nothing_holds(recorded: tuple[int, int]) -> None:
    """What was heard in them may be just what a rehearsal looks for."""
    left = LeftOut(file="a.wav", why="other words", other_words=True)
    found = report(1_000, 0, recorded=recorded).model_copy(update={"left_out": (left,)})
    first, _ = standings(found, BOUND)
    assert (first.speech, first.verdict) == (Speech.RECORDED, Verdict.TOO_FEW)
    assert "Left out were 1 recordings in which other words were heard" in first.describe(BOUND)
    assert not holds(found, BOUND)


def test_a_silent_recording_that_was_left_out_says_nothing() -> None:
    found = report(1_000, 0).model_copy(update={"left_out": (LeftOut(file="a", why="silent"),)})
    assert holds(found, BOUND)


def test_a_ratio_that_was_not_rehearsed_has_no_standing() -> None:
    other = HearingBound(wrong_below=Decimal("0.02"), at_snr=Decimal(15))
    assert standings(report(1_000, 0), other) == ()
    assert not holds(report(1_000, 0), other)


@pytest.mark.parametrize(
    ("share", "told"),
    [(0.0, "0 %"), (0.0012, "0.12 %"), (0.034, "3.4 %"), (0.5, "50 %"), (1, "100 %")],
)
def test_a_share_is_told_with_the_figures_that_count(share: float, told: str) -> None:
    assert percent(share) == told
