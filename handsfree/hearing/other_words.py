"""What may have been said in place of a phrase that Whisper has heard.

Whisper bends what it hears into words that make sense: "lever armed, latches no locked" is to it
"lever armed, latches locked", surely, though the same words with the "no" were listened for too.
The reader's letters know no sense. So it is asked how well the phrase fits them with a "not" at
each place, or without the one that the phrase has; and how well what people say by habit fits them.

The limits were set by two voices for tuning, clean and at 10 dB with and without blows (festival's
slt and an Italian voice of Kokoro).
"""

from collections.abc import Iterator

from handsfree.words.everyday import CASUAL, NEGATIONS

# What the reader writes of one that noise has nearly swallowed: of "isn't", "don't" and "can't".
_LEFT_OF_ONE = ("don", "isn", "nt", "nah")
# Nats that a phrase with a "not" may be behind the phrase itself and still have been said. Of 358
# phrases and commands that move the work none fits so well with one that was not said, and 461 of
# 468 do with one that was.
NOT_BEHIND = 12.0
# Nats that what is said by habit must be before it. In noise the letters can be such that anything
# short fits them better: of 990 phrases and commands by five voices, two thirds of them at 10 dB,
# 14 are doubted so, as a "go ahead" of which the letters are "god". So no habit is looked for where
# Whisper, which leaves out a "not" but no habit, would surely write the phrase by itself. Of 390
# times that something else was said, all but 31 would not be taken for any phrase.
HABIT_BEFORE = 5.0
# Nats that another phrase of the moment, which would do something else, may be behind the one that
# was heard and still have been said. "Right side" was surely "left side" to Whisper, and "lrigt
# side" to the reader. Of 1,320 phrases and commands by six voices, three quarters of them at 15 and
# 10 dB, 14 are doubted so, all of them in noise: "front left door" next to "rear left door", with
# letters like "ren lac toor".
OTHERS_BEHIND = 3.0

HABITS = tuple(tuple(each.split()) for each in CASUAL)


def with_and_without(words: tuple[str, ...]) -> Iterator[tuple[str, ...]]:
    """`words` with each kind of "not" at each place, and without each that they have."""
    for at in range(len(words) + 1):
        for each in (*NEGATIONS, *_LEFT_OF_ONE):
            yield (*words[:at], each, *words[at:])
    for at, each in enumerate(words):
        if each in NEGATIONS and len(words) > 1:
            yield (*words[:at], *words[at + 1 :])
