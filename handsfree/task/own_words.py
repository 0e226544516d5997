"""Words that the tool acts on itself, or that people say without looking: no phrase of a task."""

from handsfree.task.file_model import wrong
from handsfree.words.everyday import CASUAL, TAKES_BACK
from handsfree.words.plain import INSPECTED, REJECTED, PlainWord
from handsfree.words.standard import StandardWord

_STANDARD = {spelling for each in StandardWord for spelling in each.spellings}
_OWN_WORDS = {
    *(spelling for each in PlainWord for spelling in each.spellings),
    *TAKES_BACK,
    *(INSPECTED, REJECTED),
}
_INSTEAD = "Write a phrase that names what was done, such as 'pin in'"


def not_own(phrase: str) -> str:
    """`phrase`, where it can be one of a task; else an error that says what to write."""
    if phrase in _STANDARD:
        raise wrong(
            f"'{phrase}' is a standard word and cannot confirm a step by itself",
            _INSTEAD,
        )
    if phrase in _OWN_WORDS:
        raise wrong(
            f"'{phrase}' is a word that the tool acts on itself",
            _INSTEAD,
        )
    if phrase in CASUAL:
        raise wrong(
            f"'{phrase}' is what people say without looking, and confirms nothing",
            _INSTEAD,
        )
    return phrase
