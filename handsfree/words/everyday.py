"""What people say without looking, and what they say when they do not mean it.

Both are listened for so that they are heard as themselves, and neither is ever acted on. What
cannot be heard is bent into what can: "don't go ahead" was taken for "go ahead" where "don't" was
no word.

Words that take something back stand here too. They only ever take away, so they may be everyday
words: the value must be said anew. Common practice, no source.
"""

from functools import cache, lru_cache

from handsfree.words.automaton import (
    Arc,
    Automaton,
    choice,
    many,
    optional,
    spoken,
    word,
)

# They confirm nothing and affirm nothing: they are what people say by habit.
CASUAL = (
    *("yes", "yeah", "yep", "yup", "okay", "ok", "roger", "wilco", "copy", "copied"),
    *("done", "all done", "finished", "complete", "completed", "check", "checked"),
    *("right", "correct", "that's right", "thats right", "sure", "fine", "good"),
    *("got it", "ready", "next", "continue", "carry on", "go on", "resume", "thanks"),
    *("thank you", "no", "nope", "copy that", "looks good", "good to go", "skip", "skip it"),
)

# A value that waits is taken back by them, and none is taken in its place.
TAKES_BACK = (
    *("no wait", "wait no", "sorry", "no sorry", "scratch that", "i mean", "i meant"),
    *("my mistake", "take that back", "cancel that", "that's wrong", "thats wrong"),
)

NEGATIONS = (
    *("not", "no", "never", "cannot"),
    *("don't", "dont", "isn't", "isnt", "aren't", "arent", "can't", "cant", "won't", "wont"),
)
_BEFORE_NOT = ("do", "does", "is", "are", "was", "will", "can", "has", "have")


@cache
def casual() -> Automaton:
    """One or several of such words."""
    return many(choice(*map(spoken, CASUAL)))


def negations() -> frozenset[str]:
    """The words with which a "not" behind a phrase begins."""
    return frozenset((*NEGATIONS, *_BEFORE_NOT))


@lru_cache(maxsize=64)
def negated(phrases: tuple[str, ...]) -> Automaton:
    """Each of `phrases` with a "not" before, in or behind it; emits the phrase.

    A phrase that holds a "not" of its own is also turned round by leaving it out.
    """
    return choice(*(_negated(each) for each in phrases))


@cache
def _negated(phrase: str) -> Automaton:
    words = phrase.split()
    ways = [_with_one(words, phrase)]
    for at, each in enumerate(words):
        if each in NEGATIONS and len(words) > 1:
            ways.append(spoken(" ".join(words[:at] + words[at + 1 :]), phrase))
    return choice(*ways)


def _with_one(words: list[str], phrase: str) -> Automaton:
    """The words in order with one negation at any place.

    The states without it are 0 to n, where 0 to n words were said, then those with it.
    """
    number = len(words)
    after = number + 1
    table: list[list[Arc]] = [[] for _ in range(2 * after)]
    for at, each in enumerate(words):
        table[at].append(Arc(each, (), at + 1))
        last = (phrase,) if at + 1 == number else ()
        table[after + at].append(Arc(each, last, after + at + 1))
    for at in range(after):
        # Behind all the words the phrase is told by the negation itself.
        mark = (phrase,) if at == number else ()
        table[at].extend(Arc(each, mark, after + at) for each in NEGATIONS)
        is_ = len(table)
        table.append([Arc("not", mark, after + at)])
        table[at].extend(Arc(each, (), is_) for each in _BEFORE_NOT)
    return Automaton(tuple(map(tuple, table)), frozenset({after + number}))


@cache
def takes_back(*marks: str) -> Automaton:
    """Any of the words that take something back."""
    return choice(*(spoken(each, *marks) for each in TAKES_BACK))


@cache
def lead_in() -> Automaton:
    """What people say before a value, and what adds nothing to it, or nothing at all."""
    return optional(
        choice(
            *map(
                spoken,
                (
                    *("it's", "its", "it is", "that's", "thats", "that is", "it reads", "reads"),
                    *("it says", "i read", "i have", "i get", "i got", "the"),
                ),
            )
        )
    )


@cache
def is_or_reads() -> Automaton:
    """What people say between a name and its value, or nothing."""
    return optional(choice(word("is"), word("reads"), word("was"), word("at")))


@cache
def hedge(*marks: str) -> Automaton:
    """What makes a figure something else than what the scale shows."""
    said = (
        *("about", "around", "roughly", "approximately", "nearly", "almost", "maybe"),
        *("probably", "i think", "just under", "just over", "just above", "just below"),
        *("a bit under", "a bit over", "a bit below", "a bit above"),
        *("a little under", "a little over", "close to", "less than", "more than"),
    )
    return choice(*(spoken(each, *marks) for each in said))


@cache
def hedge_behind(*marks: str) -> Automaton:
    """What makes the figures before it something else than what the scale shows."""
    return choice(spoken("or so", *marks), spoken("more or less", *marks))


@cache
def exactly() -> Automaton:
    """What people say beside a round figure, and what adds nothing to it."""
    return choice(word("even"), word("exactly"), word("flat"))
