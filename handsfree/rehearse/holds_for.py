"""What a rehearsal holds for: the phrases, the models and the policy, each by a hash."""

import json
from fractions import Fraction
from hashlib import sha256
from typing import Any

from handsfree.engine import trust
from handsfree.hearing.models.versions import models_that_listen
from handsfree.rehearse.listening import score_hash
from handsfree.rehearse.report import Rehearsal, Sources
from handsfree.task.model import Task

# What of a step decides what is said there and how it is heard.
_OF_A_STEP = {"id", "expect", "critical", "read_back", "inspection", "by", "sets", "then", "wait"}
_OF_A_STEP |= {"deferral", "applies", "instruction"}


def sources_of(task: Task) -> Sources:
    """What a rehearsal of `task` would hold for today."""
    return Sources(
        phrases=_phrases(task), models=dict(models_that_listen()), policy=_hash(_policy())
    )


def stale(task: Task, rehearsal: Rehearsal) -> tuple[str, ...]:
    """What has changed since; none where the rehearsal still holds."""
    now = sources_of(task)
    changed = []
    if now.phrases != rehearsal.of.phrases:
        changed.append("what is said at the steps")
    models = now.models.items() ^ rehearsal.of.models.items()
    changed += [f"the model file {each}" for each in sorted({name for name, _ in models})]
    if now.policy != rehearsal.of.policy:
        changed.append("when a hearing is believed")
    return tuple(changed)


def _phrases(task: Task) -> str:
    # A key that the language gains, and that no step uses, changes nothing.
    steps = [
        each.model_dump(mode="json", include=_OF_A_STEP, exclude_defaults=True)
        for each in task.steps
    ]
    variants = {name: list(each) for name, each in task.variants.items()}
    return _hash({"steps": steps, "variants": variants})


def _policy() -> dict[str, Any]:
    """Every number of the policy, by name; a comment may change."""
    numbers = {
        name: str(value)
        for name, value in vars(trust).items()
        if name.isupper() and isinstance(value, int | float | Fraction)
    }
    return {"trust": numbers, "score": score_hash()}


def _hash(value: Any) -> str:
    return sha256(json.dumps(value, sort_keys=True).encode()).hexdigest()
