"""A "not" in, before or behind a phrase, that Whisper has left out.

Whisper bends what it hears into words that make sense: "lever armed, latches no locked" is to it
"lever armed, latches locked", surely, though the same words with the "no" were listened for too.
The reader's letters know no sense. So it is asked how well the phrase fits them with a "not" at
each place, or without the one that the phrase has.
"""

from collections.abc import Iterator

from handsfree.words.everyday import NEGATIONS

# What the reader writes of one that noise has nearly swallowed: of "isn't", "don't" and "can't".
_LEFT_OF_ONE = ("don", "isn", "nt", "nah")
# Nats. By two voices for tuning, clean and at 10 dB with and without blows (festival's slt and an
# Italian voice of Kokoro): no phrase or command of 365 fits so well with a "not" that was not said,
# and 386 of 393 with one that was. At 14 nats 2 and 390.
FARTHEST = 12.0


def with_and_without(words: tuple[str, ...]) -> Iterator[tuple[str, ...]]:
    """`words` with each kind of "not" at each place, and without each that they have."""
    for at in range(len(words) + 1):
        for each in (*NEGATIONS, *_LEFT_OF_ONE):
            yield (*words[:at], each, *words[at:])
    for at, each in enumerate(words):
        if each in NEGATIONS and len(words) > 1:
            yield (*words[:at], *words[at + 1 :])
