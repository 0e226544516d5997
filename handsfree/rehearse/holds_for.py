"""What a rehearsal holds for: phrases, models, code and libraries, each by a hash or version."""

import json
from collections.abc import Mapping
from hashlib import sha256
from typing import Any

from handsfree.fleet.build import libraries_here
from handsfree.fleet.code import code_of
from handsfree.hearing.models.versions import models_that_listen
from handsfree.rehearse.report import Rehearsal, Sources
from handsfree.task.model import Task

_DECIDES = {
    "words": "which words are phrases",
    "task": "what a task is",
    "engine": "when a hearing is believed, and what follows",
    "hearing": "how sound is heard",
    "acoustics": "how a place sounds",
    "speaking": "how the voices sound",
    "rehearse": "how it is rehearsed",
}
"""The folders whose code decides what is counted, each with what it decides."""

# In them, what decides nothing here: where a microphone's utterance begins and ends, what a page of
# a record asks, the sentences of the tool, and the proofs of `check`.
_WITHOUT = ("hearing/live", "hearing/likeness", "engine/wording", "task/proof")

# What of a step decides what is said there and how it is heard.
_OF_A_STEP = {"id", "expect", "critical", "read_back", "inspection", "by", "sets", "then", "wait"}
_OF_A_STEP |= {"deferral", "applies", "instruction"}


def sources_of(task: Task) -> Sources:
    """What a rehearsal of `task` would hold for today."""
    return Sources(
        phrases=_phrases(task),
        models=dict(models_that_listen()),
        code={folder: code_of(folder, _WITHOUT) for folder in _DECIDES},
        libraries=dict(libraries_here()),
    )


def stale(task: Task, rehearsal: Rehearsal) -> tuple[str, ...]:
    """What has changed since; none where the rehearsal still holds."""
    now = sources_of(task)
    changed = []
    if now.phrases != rehearsal.of.phrases:
        changed.append("what is said at the steps")
    kept = rehearsal.of
    changed += [f"the model file {each}" for each in _differing(now.models, kept.models)]
    changed += [_DECIDES.get(each, each) for each in _differing(now.code, kept.code)]
    changed += [f"the library {each}" for each in _differing(now.libraries, kept.libraries)]
    return tuple(changed)


def _differing(one: Mapping[str, str], other: Mapping[str, str]) -> list[str]:
    """The names whose value is another one, or that only one of the two has."""
    return sorted({name for name, _ in one.items() ^ other.items()})


def _phrases(task: Task) -> str:
    # A key that the language gains, and that no step uses, changes nothing.
    steps = [
        each.model_dump(mode="json", include=_OF_A_STEP, exclude_defaults=True)
        for each in task.steps
    ]
    variants = {name: list(each) for name, each in task.variants.items()}
    return _hash({"steps": steps, "variants": variants})


def _hash(value: Any) -> str:
    return sha256(json.dumps(value, sort_keys=True).encode()).hexdigest()
