"""Word-level automata: what may be said, and what each word adds to the meaning.

An automaton is handed to the recognizer to listen with and used afterwards to parse, so what can
be heard and what can be understood never drift apart. Each arc carries a word and the marks that
the word emits, such as `"2"` for "two"; the marks along a path are the meaning of what was said.

All automata here are free of empty arcs, and no arc leads back to state 0. The combinators keep
both properties, which makes joining two automata a copy of arcs.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property


@dataclass(frozen=True, slots=True)
class Arc:
    """One word, what it emits, and the state it leads to."""

    word: str
    emits: tuple[str, ...]
    target: int


@dataclass(frozen=True)
class Automaton:
    """States are numbered from 0, the start; `arcs[s]` leave state `s`."""

    arcs: tuple[tuple[Arc, ...], ...]
    finals: frozenset[int]

    @cached_property
    def vocabulary(self) -> frozenset[str]:
        """Every word that some path can hold."""
        return frozenset(arc.word for leaving in self.arcs for arc in leaving)

    @cached_property
    def _by_word(self) -> tuple[dict[str, tuple[Arc, ...]], ...]:
        tables: list[dict[str, tuple[Arc, ...]]] = []
        for leaving in self.arcs:
            table: dict[str, tuple[Arc, ...]] = {}
            for arc in leaving:
                table[arc.word] = (*table.get(arc.word, ()), arc)
            tables.append(table)
        return tuple(tables)

    def reached_by(self, words: Sequence[str]) -> frozenset[int]:
        """Every state that `words` can lead to from the start; empty: no path spells them."""
        reached = frozenset({0})
        for word in words:
            reached = frozenset(
                arc.target for state in reached for arc in self._by_word[state].get(word, ())
            )
        return reached

    def may_follow(self, states: Iterable[int]) -> frozenset[str]:
        """The words that can come next in any of `states`."""
        return frozenset(word for state in states for word in self._by_word[state])

    def readings_of(self, words: Sequence[str]) -> frozenset[tuple[str, ...]]:
        """The marks of every path that spells exactly `words`; empty if there is none."""
        reached: set[tuple[int, tuple[str, ...]]] = {(0, ())}
        for word in words:
            reached = {
                (arc.target, marks + arc.emits)
                for state, marks in reached
                for arc in self._by_word[state].get(word, ())
            }
            if not reached:
                return frozenset()
        return frozenset(marks for state, marks in reached if state in self.finals)


def word(spelling: str, *emits: str) -> Automaton:
    """One word."""
    return Automaton(((Arc(spelling, emits, 1),), ()), frozenset({1}))


def spoken(phrase: str, *emits: str) -> Automaton:
    """The words of `phrase` in order; the marks are emitted with the last one."""
    words = phrase.split()
    if not words:
        raise ValueError("a phrase has at least one word")
    return sequence(*(word(each) for each in words[:-1]), word(words[-1], *emits))


def choice(*parts: Automaton) -> Automaton:
    """Any one of `parts`."""
    start: list[Arc] = []
    rest: list[tuple[Arc, ...]] = []
    finals: set[int] = set()
    for part in parts:
        # Each part keeps its states but the start, which all parts share.
        offset = len(rest)
        moved = _moved(part, offset)
        start.extend(moved[0])
        rest.extend(moved[1:])
        finals.update(0 if state == 0 else state + offset for state in part.finals)
    return Automaton((tuple(start), *rest), frozenset(finals))


def sequence(*parts: Automaton) -> Automaton:
    """`parts` one after the other."""
    if not parts:
        raise ValueError("a sequence has at least one part")
    joined = parts[0]
    for part in parts[1:]:
        joined = _joined(joined, part)
    return joined


def optional(part: Automaton) -> Automaton:
    """`part` or nothing."""
    return Automaton(part.arcs, part.finals | {0})


def many(part: Automaton) -> Automaton:
    """`part` once or more."""
    arcs = tuple(
        leaving + part.arcs[0] if state in part.finals else leaving
        for state, leaving in enumerate(part.arcs)
    )
    return Automaton(arcs, part.finals)


def resumed(part: Automaton, by: Automaton) -> Automaton:
    """`part`, and after `by` once more, any number of times; or broken off there.

    Accepts what `sequence(part, optional(many(sequence(by, optional(part)))))` does, with the
    states of `part` once and not twice: so the search through sound is faster. Neither may be
    optional.
    """
    offset = len(part.arcs) - 1
    bridge = _moved(by, offset)
    ends = {state + offset for state in by.finals}
    arcs = (
        *(
            (*leaving, *bridge[0]) if state in part.finals else leaving
            for state, leaving in enumerate(part.arcs)
        ),
        *(
            (*leaving, *part.arcs[0], *bridge[0]) if state + offset in ends else leaving
            for state, leaving in enumerate(bridge[1:], start=1)
        ),
    )
    return Automaton(arcs, part.finals | ends)


def one_of(spellings: Iterable[tuple[str, str]]) -> Automaton:
    """Any one word of `(spelling, mark)` pairs."""
    return choice(*(word(spelling, mark) for spelling, mark in spellings))


def _joined(first: Automaton, second: Automaton) -> Automaton:
    offset = len(first.arcs) - 1
    moved = _moved(second, offset)
    arcs = tuple(
        leaving + moved[0] if state in first.finals else leaving
        for state, leaving in enumerate(first.arcs)
    )
    finals = {state + offset for state in second.finals if state != 0}
    if 0 in second.finals:
        finals |= first.finals
    return Automaton((*arcs, *moved[1:]), frozenset(finals))


def _moved(part: Automaton, offset: int) -> tuple[tuple[Arc, ...], ...]:
    return tuple(
        tuple(Arc(arc.word, arc.emits, arc.target + offset) for arc in leaving)
        for leaving in part.arcs
    )
