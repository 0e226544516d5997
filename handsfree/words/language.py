"""All wordings of a phrase set as one minimal deterministic automaton, without their meanings.

A listener that scores wordings against sound needs each wording to be exactly one path, and no
more states than the wordings need. Meanings are found afterwards, by parsing the words.

Determinized by subset construction and minimized by partition refinement (Moore's algorithm);
see Hopcroft, Motwani, Ullman, "Introduction to Automata Theory, Languages, and Computation".
"""

from collections.abc import Iterable
from dataclasses import dataclass

from handsfree.words.automaton import Automaton, choice


@dataclass(frozen=True)
class Language:
    """`moves[state][word]` is the next state; state 0 is the start."""

    moves: tuple[dict[str, int], ...]
    finals: frozenset[int]


def language_of(automata: Iterable[Automaton]) -> Language:
    """The language of any one of `automata`."""
    moves, finals = _determinized(choice(*automata))
    return _minimized(moves, finals)


def _determinized(automaton: Automaton) -> tuple[list[dict[str, int]], set[int]]:
    numbers = {frozenset({0}): 0}
    moves: list[dict[str, int]] = []
    for states in (todo := [frozenset({0})]):
        reached: dict[str, set[int]] = {}
        for state in states:
            for arc in automaton.arcs[state]:
                reached.setdefault(arc.word, set()).add(arc.target)
        leaving: dict[str, int] = {}
        for word, targets in reached.items():
            key = frozenset(targets)
            if key not in numbers:
                numbers[key] = len(numbers)
                todo.append(key)
            leaving[word] = numbers[key]
        moves.append(leaving)
    return moves, {number for states, number in numbers.items() if states & automaton.finals}


def _minimized(moves: list[dict[str, int]], finals: set[int]) -> Language:
    block = [int(state in finals) for state in range(len(moves))]
    while True:
        # Two states stay together while every word leads them into the same block.
        signatures = [
            (block[state], frozenset((word, block[target]) for word, target in leaving.items()))
            for state, leaving in enumerate(moves)
        ]
        numbers: dict[object, int] = {}
        refined = [numbers.setdefault(signature, len(numbers)) for signature in signatures]
        if len(numbers) == len(set(block)):
            break
        block = refined
    # `refined` numbers blocks in order of first appearance, so the start is block 0.
    merged: list[dict[str, int]] = [{} for _ in numbers]
    for state, leaving in enumerate(moves):
        merged[refined[state]] = {word: refined[target] for word, target in leaving.items()}
    return Language(tuple(merged), frozenset(refined[state] for state in finals))
