"""The proof against every way followed one by one."""

import re
from collections import Counter

import pytest
from hypothesis import given, settings

from handsfree.task.problems import TaskNotProved
from handsfree.task.read import read_task
from tests.how_many import examples
from tests.task import every_way
from tests.task.small_tasks import Plain, as_text, plain_tasks

FORMS = [
    (r"at the start this must never be: .*; because (rule \d)", "never at start"),
    (r"after step '(.*)' this must never be: .*; because (rule \d)", "never"),
    (r"step '(.*)' acts while '.*' is unknown; this must never be: .*; because (rule \d)", "never"),
    (r"step '(.*)' needs '(.*)' .*, but by then", "needs"),
    (r"'(.*)' must end", "end"),
    (r"\d+ (ties) must be out at the end", "end"),
    (r"step '(.*)' counts 1 ties", "count"),
    (r"no way leads to step '([^']*)'", "unreached"),
    (r"from step '.*' no way leads to the end", "stuck"),
    (r"(?:where .* )?no step is left to do", "nothing"),
    (r"'(.*)' decides whether step '(.*)' applies", "guess"),
    (r"step '(.*)' rests on step '(.*)', which", "rests"),
]


def verdicts(task: Plain) -> dict[every_way.Verdict, int]:
    """What the product finds, with the number of steps of the way that it tells."""
    try:
        read_task(as_text(task), "t.yaml")
    except TaskNotProved as error:
        found: dict[every_way.Verdict, int] = {}
        # Any other error, such as an unknown name, would be a mistake of `small_tasks`.
        for problem in error.problems:
            match, kind = next(
                (match, kind) for form, kind in FORMS if (match := re.match(form, problem.what))
            )
            named = match.groups()[::-1] if kind == "guess" else match.groups()
            steps = int(re.search(r"has (\d+)", problem.way[0])[1]) if problem.way else 0  # type: ignore[index] # it always has a number
            verdict = (kind, *named)
            found[verdict] = min(steps, found.get(verdict, steps))
        return found
    return {}


def about_a_state(verdict: every_way.Verdict) -> bool:
    return verdict[0] in ("needs", "end")


def may_follow_from_another(
    verdict: every_way.Verdict, wrong: dict[every_way.Verdict, int]
) -> bool:
    """Whether its nearest way may have a mistake before it from which it only follows."""
    if about_a_state(verdict):
        same = [each for each in wrong if about_a_state(each) and each[-1] == verdict[-1]]
        return wrong[verdict] > min(wrong[each] for each in same)
    return verdict[0] == "never" and any(each[:2] == ("needs", verdict[1]) for each in wrong)


@settings(max_examples=examples(200), deadline=None)
@given(plain_tasks())
def test_what_is_wrong_and_how_near_it_is_agrees_with_following_every_way(task: Plain) -> None:
    found, wrong = verdicts(task), every_way.verdicts(task)
    # Of steps that are not reached only the first is told, and none that a loop keeps a run from.
    # What a state must be is not told again on the ways that lead on from where it is not, nor is a
    # rule that a step breaks where it lacks what it needs. So a mistake that follows from another
    # may be told by a longer way, on which it is the first.
    assert found.keys() <= wrong.keys()
    for each, steps in found.items():
        if may_follow_from_another(each, wrong):
            assert steps >= wrong[each]
        else:
            assert steps == wrong[each]
    told = {(about_a_state(each), each[-1]) for each in found}
    for each in wrong.keys() - found.keys():
        assert each[0] in ("unreached", "needs", "end", "never")
        if each[0] == "never":  # it follows from what the step itself needs
            assert any(other[:2] == ("needs", each[1]) for other in wrong)
        elif each[0] == "unreached":
            assert ("stuck",) in found or any(other[0] == "unreached" for other in found)
        else:
            assert (True, each[-1]) in told


@settings(max_examples=examples(50), deadline=None)
@given(plain_tasks())
def test_going_back_leads_nowhere_that_was_not_proved(task: Plain) -> None:
    """Up to three completed steps back, with the states of that time, at any moment."""
    with_back = every_way.places_with_going_back(task, 6)
    assert with_back <= every_way.places(task, 6)


@pytest.mark.slow  # it tells of what is drawn, and not of the product
def test_the_drawn_tasks_are_read_and_are_wrong_in_every_way_or_not_at_all() -> None:
    """Else the agreement above would say nothing."""
    kinds: Counter[str] = Counter()

    @settings(max_examples=250, deadline=None, database=None, derandomize=True)
    @given(plain_tasks())
    def draw(task: Plain) -> None:
        kinds.update({kind for kind, *_ in every_way.verdicts(task)} or {"none"})

    draw()
    assert kinds.keys() == {"none", *(kind for _, kind in FORMS)}
