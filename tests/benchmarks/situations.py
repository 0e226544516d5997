"""What may be said while a clip is heard."""

import random
from collections.abc import Sequence

from handsfree.words.phrases import BUILT_IN, Confirmation, PhraseSet, Reading, Standard
from handsfree.words.standard import StandardWord
from tests.benchmarks.speech import Clip

NUMBER = BUILT_IN["number"]
_READING = Reading(("pressure",), "psi")
# What is valid at a usual moment of a task: a reading, two confirmations, the standard words.
TASK = PhraseSet(
    (
        _READING,
        Confirmation("safety pin in"),
        Confirmation("safety pin out"),
        *(Standard(each) for each in StandardWord),
    )
)
# What is valid at most moments: no number, so that nothing said as a number can be right.
CONFIRMING = PhraseSet(TASK.phrases[1:])
# There are no recordings of confirmations of this trade; single words stand in for them.
COMMANDS = PhraseSet(
    (
        _READING,
        *map(Confirmation, ("yes", "no", "go", "stop", "start", "help", "repeat")),
    )
)
TEN_WORDS = ("yes", "no", "on", "off", "up", "down", "left", "right", "go", "stop")
SINGLE_WORDS = PhraseSet((_READING, *map(Confirmation, TEN_WORDS)))

_STANDARD = CONFIRMING.phrases[2:]


def own_phrases(clip: Clip, among: Sequence[Clip]) -> PhraseSet:
    """What is said in `clip` as a confirmation, beside three others and the standard words."""
    said = " ".join(clip.words)
    others = sorted({" ".join(each.words) for each in among} - {said})
    chosen = random.Random(clip.path.name).sample(others, 3)
    return PhraseSet((*map(Confirmation, (said, *chosen)), *_STANDARD))


def altered_phrases(clip: Clip, among: Sequence[Clip]) -> tuple[PhraseSet, ...]:
    """What is said in `clip` as a confirmation, but with one word changed, left out or added.

    A single letter is not left out: "pits" said letter by letter is too near to "pitts" to be
    held against a score that is meant for words.
    """
    draw = random.Random(clip.path.name)
    vocabulary = sorted({word for each in among for word in each.words})
    words = list(clip.words)
    place = draw.randrange(len(words))
    other = draw.choice([word for word in vocabulary if word != words[place]])
    changed = [
        [*words[:place], other, *words[place + 1 :]],
        [*words[:place], other, *words[place:]],
    ]
    if len(words) > 1 and len(words[place]) > 1:
        changed.append([*words[:place], *words[place + 1 :]])
    return tuple(PhraseSet((Confirmation(" ".join(each)), *_STANDARD)) for each in changed)
