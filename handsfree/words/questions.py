"""Questions about the step and the record. The tool answers them, and nothing is changed by it.

Common practice, no source.
"""

from enum import Enum
from functools import cache, lru_cache

from handsfree.words.automaton import Automaton, choice, sequence, spoken, word


class Question(Enum):
    """What can be asked. The value is how it is asked."""

    LIMIT = "what is the limit"
    WARNING = "what is the warning"
    TOOL = "which tool"
    PART_NUMBER = "what part number"
    LAST_READING = "what was the last reading"
    STEPS_LEFT = "how many steps left"
    WHAT_NEXT = "what is next"
    READING = "what was the"  # and what was read, such as "temperature"

    @property
    def automaton(self) -> Automaton:
        """Every way to ask it; without what was read."""
        return _asked(self)


# After "what is the" and its like.
_NOUNS = {
    Question.LIMIT: ("limit", "limits", "tolerance", "range", "minimum", "maximum"),
    Question.WARNING: ("warning", "caution"),
    Question.TOOL: ("tool",),
    Question.PART_NUMBER: (),  # where the task has one, it is a thing that was read
    Question.LAST_READING: ("last reading", "last value", "reading before"),
}
_ALSO_ASKED = {
    Question.LIMIT: ("what are the limits",),
    Question.TOOL: ("which tool", "which tools", "what tool", "what tool do i need"),
    Question.PART_NUMBER: ("what part number", "which part number", "which part"),
    Question.LAST_READING: ("last reading",),
    Question.STEPS_LEFT: (
        *("how many steps left", "how many steps are left", "how many steps"),
        *("how many steps to go", "how many left", "how many more steps"),
    ),
    Question.WHAT_NEXT: (
        *("what is next", "what's next", "whats next", "what comes next"),
        *("what now", "what do i do", "what do i do now"),
    ),
}


@cache
def _asked(question: Question) -> Automaton:
    ways = [spoken(each) for each in _ALSO_ASKED.get(question, ())]
    if _NOUNS.get(question):
        ways.append(sequence(_what_is_the(), choice(*map(spoken, _NOUNS[question]))))
    return choice(*ways)


@lru_cache(maxsize=64)
def what_was(names: tuple[str, ...]) -> Automaton:
    """ "What was the temperature"; emits the name."""
    return sequence(_what_is_the(), choice(*(spoken(each, each) for each in names)))


@cache
def _what_is_the() -> Automaton:
    """ "What is the", "what's the", "what was the"."""
    is_ = choice(spoken("what is"), spoken("what was"), word("what's"), word("whats"))
    return sequence(is_, word("the"))
