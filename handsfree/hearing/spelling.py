"""A language of words spelled in characters, as the graph that a CTC search walks."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from handsfree.words.language import Language

Indices = npt.NDArray[np.int64]
SPACE = " "
NOWHERE = -1


@dataclass(frozen=True)
class SpellingGraph:
    """Nodes are characters at a place in a sentence; words are apart by one space.

    Words that leave one state of the language share the nodes of what they begin with alike.
    """

    symbols: Indices  # (N,) the index of the character of each node
    before: Indices  # (N,) the one node before, NOWHERE where there is none or are many
    first: Indices  # nodes that a sentence can begin with
    last: Indices  # nodes that a sentence can end with
    spaces: Indices  # nodes that are spaces; before them lie word ends
    ends: Indices  # word ends, those before `spaces[0]` first, then those before `spaces[1]` ...
    end_starts: Indices  # where in `ends` those of each space begin
    after: tuple[tuple[int, ...], ...]  # the nodes after each node
    words: tuple[str | None, ...]  # the word that a node completes


def spell(language: Language, characters: Sequence[str]) -> SpellingGraph:
    """Spell `language`; raises ValueError for a word with a letter that is not in `characters`."""
    index = {character: at for at, character in enumerate(characters)}
    symbols: list[int] = []
    before: list[int] = []
    after: list[list[int]] = []
    words: list[str | None] = []

    def node(character: str, previous: int) -> int:
        if character not in index:
            raise ValueError(f"{character!r} is not one of the characters {''.join(characters)!r}")
        symbols.append(index[character])
        before.append(previous)
        after.append([])
        words.append(None)
        if previous != NOWHERE:
            after[previous].append(len(symbols) - 1)
        return len(symbols) - 1

    targets = {target for moves in language.moves for target in moves.values()}
    space_of = {
        state: node(SPACE, NOWHERE)
        for state, moves in enumerate(language.moves)
        if moves and state in targets
    }
    ends_before: dict[int, list[int]] = {space: [] for space in space_of.values()}
    first: list[int] = []
    last: list[int] = []
    for state, moves in enumerate(language.moves):
        # A state that can begin a sentence and also follow a word has its words twice: the nodes
        # before them differ.
        roots = ([NOWHERE] if state == 0 else []) + ([space_of[state]] if state in space_of else [])
        for root in roots:
            shared: dict[str, int] = {}
            for word, target in sorted(moves.items()):
                previous = root
                for length in range(1, len(word) + 1):
                    prefix = word[:length]
                    if prefix not in shared:
                        shared[prefix] = node(word[length - 1], previous)
                        if previous == NOWHERE:
                            first.append(shared[prefix])
                    previous = shared[prefix]
                words[previous] = word
                if target in language.finals:
                    last.append(previous)
                if target in space_of:
                    space = space_of[target]
                    ends_before[space].append(previous)
                    after[previous].append(space)
    ends = [end for space in space_of.values() for end in ends_before[space]]
    counts = [len(ends_before[space]) for space in space_of.values()]
    starts = np.cumsum([0, *counts[:-1]]) if counts else np.zeros(0)
    return SpellingGraph(
        symbols=np.array(symbols),
        before=np.array(before),
        first=np.array(first),
        last=np.array(last),
        spaces=np.array(list(space_of.values()), dtype=np.int64),
        ends=np.array(ends, dtype=np.int64),
        end_starts=starts.astype(np.int64),
        after=tuple(map(tuple, after)),
        words=tuple(words),
    )
