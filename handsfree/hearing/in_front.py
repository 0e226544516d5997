"""What was said in front of a phrase: a "not" that noise has nearly swallowed.

Whisper bends what it hears into words that make sense, and "not pin fitted" in noise is to it "pin
fitted". The reader knows no phrases. Asked to write what it hears it writes "o pin fited", and what
stands there before the phrase begins was said and is no part of it.
"""

_VOWELS = frozenset("aeiou")


def syllable_in_front(free: str, phrase: str) -> bool:
    """Whether a vowel of `free` stands before the place where `phrase` begins in it.

    A consonant alone is how a listener without words begins many a phrase; "not" has a vowel. The
    place is that of the fewest single letters to change, add or leave out (Sellers 1980, J.
    Algorithms 1:359: the phrase is held against any part of the text); of several the last. Spaces
    count for nothing, since such a listener sets them anywhere.
    """
    text = free.replace(" ", "")
    # For each end in the text: the cost of the phrase up to here, and where its part begins.
    row = [(0, begin) for begin in range(len(text) + 1)]
    for count, letter in enumerate(phrase.replace(" ", ""), 1):
        above, row = row, [(count, 0)]
        for end, written in enumerate(text, 1):
            changed, added, left_out = above[end - 1], row[end - 1], above[end]
            row.append(
                min(
                    (changed[0] + (letter != written), changed[1]),
                    (left_out[0] + 1, left_out[1]),
                    (added[0] + 1, added[1]),
                )
            )
    begins = min(row, key=lambda part: (part[0], -part[1]))[1]
    return not _VOWELS.isdisjoint(text[:begins])
