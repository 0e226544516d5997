"""What `rehear` found, for a person and for a program."""

import json
from collections.abc import Iterator

from handsfree.rehear.differences import Difference, Made, Weight
from handsfree.rehear.rehearing import Reheard
from handsfree.visible import escaped

_WEIGHTS = {
    Weight.LIMIT_CROSSED: "A LIMIT LIES BETWEEN THE TWO",
    Weight.ANOTHER_ANSWER: "another answer",
    Weight.ANOTHER_VALUE: "another value",
}


def told(found: Reheard, *, complete: bool) -> Iterator[str]:
    """The differences, the worst first; then what was not heard, and how much was."""
    for each in found.worst_first:
        yield from (escaped(line) for line in _lines(each))
    yield from (escaped(problem) for problem in found.problems)
    if not complete:
        yield "Interrupted: this is what was found by then."
    yield from _summed_up(found)


def _lines(each: Difference) -> Iterator[str]:
    moment = each.moment
    sure = "" if each.believed else ", but is not sure and would ask again"
    yield (
        f"{moment.record}, entry {moment.entry}, step {moment.step}: {_WEIGHTS[each.weight]}; "
        f"what was acted on {moment.fate.value}"
    )
    yield f"  acted on   {_made(each.then)}"
    yield f"  heard now  {_made(each.now)}, P {each.score:.2f}{sure}"
    yield f"  listen to  {moment.clip}"


def _made(made: Made) -> str:
    parts = (f'"{" ".join(made.words)}"', made.value, made.verdict)
    return ", ".join(part for part in parts if part)


def _summed_up(found: Reheard) -> Iterator[str]:
    mattering = sum(each.matters for each in found.differences)
    yield (
        f"{_count(found.records, 'record')}, {_count(found.clips, 'clip')} heard anew: "
        f"{found.same} as acted on, {found.not_heard_again} that fit nothing now, "
        f"{len(found.differences)} otherwise."
    )
    if found.unsure:
        yield f"Of those as acted on, a run today would ask again {found.unsure} times."
    if found.asked_then:
        yield (
            f"{_count(found.asked_then, 'more')} were not acted on then; of those a run today "
            f"would act on {found.believed_now}."
        )
    if found.redacted:
        yield f"The sound of {_count(found.redacted, 'clip')} was removed, and that told."
    if mattering:
        yield f"Listen to {_count(mattering, 'clip')}: what was acted on still stands."


def _count(count: int, what: str) -> str:
    return f"{count:,} {what if count == 1 or what == 'more' else f'{what}s'}"


def as_object(found: Reheard, *, complete: bool) -> str:
    """What was found, as one JSON object on one line."""
    return json.dumps(
        {
            "complete": complete,
            "records": found.records,
            "clips": found.clips,
            "same": found.same,
            "same_but_unsure": found.unsure,
            "fits_nothing_now": found.not_heard_again,
            "not_acted_on_then": found.asked_then,
            "of_those_acted_on_now": found.believed_now,
            "redacted": found.redacted,
            "differences": [_object(each) for each in found.worst_first],
            "problems": found.problems,
        }
    )


def _object(each: Difference) -> dict[str, object]:
    moment = each.moment
    return {
        "record": str(moment.record),
        "entry": moment.entry,
        "utc": moment.utc,
        "step": moment.step,
        "weight": each.weight.name.lower().replace("_", " "),
        "matters": each.matters,
        "fate": moment.fate.name.lower(),
        "acted_on": _made_object(each.then),
        "heard_now": {
            **_made_object(each.now),
            "score": round(each.score, 4),
            "believed": each.believed,
        },
        "clip": str(moment.clip),
    }


def _made_object(made: Made) -> dict[str, object]:
    return {"words": " ".join(made.words), "value": made.value, "verdict": made.verdict}
