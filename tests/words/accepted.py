"""What a language accepts, word by word: the tests ask, the product only ever spells it."""

from collections.abc import Iterable

from handsfree.words.language import Language


def accepts(language: Language, words: Iterable[str]) -> bool:
    """Whether `words` are a wording."""
    state = 0
    for word in words:
        following = language.moves[state].get(word)
        if following is None:
            return False
        state = following
    return state in language.finals
