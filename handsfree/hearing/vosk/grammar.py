"""What Vosk is told may be said: the words of the phrase set, each by itself, and "unknown".

Vosk makes a bigram model of the lines that it is given, and lets any word follow any other at a
price (`src/language_model.cc` of Vosk). A grammar of whole phrases therefore forbids nothing: it
only makes their word pairs cheaper than all others, so that "pin removed" is bent into "pin fitted"
where only that is a phrase, and a word that the model lacks is left out of its phrase in silence.
Single words cost the same everywhere. What was said besides the phrases comes out as words that
are no phrase, and the phrase set refuses them.
"""

import json
from collections.abc import Callable, Iterable
from dataclasses import dataclass

# How Vosk's models spell what is none of their words: English ones the first, the Korean one the
# last.
UNKNOWN_WORDS = ("[unk]", "<unk>", "<UNK>")

# Spellings of one word. A phrase set has both, so that who knows one of them hears the word.
# "Niner" and "nine" are not such: they sound different.
_ALSO_SPELLED = {
    "alfa": "alpha",
    "juliett": "juliet",
    "metre": "meter",
    "metres": "meters",
    "millimetre": "millimeter",
    "millimetres": "millimeters",
}
_ALSO_SPELLED |= {other: one for one, other in _ALSO_SPELLED.items()}


@dataclass(frozen=True, slots=True)
class Grammar:
    """What one model can be told of one phrase set."""

    words: tuple[str, ...]  # of the phrase set, known to the model; sorted
    missing: tuple[str, ...]  # of the phrase set, not known in any spelling; sorted
    unknown: tuple[str, ...]  # the model's own words for what is none of its words; may be empty

    def as_json(self) -> str:
        """The lines as Vosk reads them.

        Only to be used where there are `words`: to Vosk an empty list is no grammar at all. Letters
        stay as they are, because Vosk does not read the escapes of JSON.
        """
        return json.dumps([*self.words, *self.unknown], ensure_ascii=False)


def grammar_of(vocabulary: Iterable[str], knows: Callable[[str], bool]) -> Grammar:
    """What a model that `knows` some words can be told of `vocabulary`."""
    words = sorted(set(vocabulary))
    return Grammar(
        words=tuple(each for each in words if knows(each)),
        missing=tuple(each for each in words if not can_hear(each, knows)),
        unknown=tuple(each for each in UNKNOWN_WORDS if knows(each)),
    )


def can_hear(word: str, knows: Callable[[str], bool]) -> bool:
    """Whether a model that `knows` some words knows this one, in any spelling."""
    return knows(word) or knows(_ALSO_SPELLED.get(word, word))
