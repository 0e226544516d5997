"""Exact scores of wordings against the output of a CTC network, and the search for the best.

Graves et al., "Connectionist Temporal Classification", ICML 2006: a frame names a character or
blank (index 0); repeats of a character are one unless a blank lies between. Log-probabilities are
natural, of shape (T, C): T frames, C characters with blank.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from handsfree.hearing.spelling import NOWHERE, SpellingGraph

Floats = npt.NDArray[np.float64]
BLANK = 0
_NEVER = -1e30  # stands for log 0, and stays finite in sums
# Nats below the best prefix at which the search for other wordings lets one go. e^-14 of the
# probability is far below any margin that a decision is made on.
_BEAM_NATS = 14.0
_BEAM_PREFIXES = 60
_SURELY_BLANK = math.log(0.9999)
_NEARLY_BLANK = math.log(0.99)


@dataclass(frozen=True, slots=True)
class Wording:
    """Words and their log-probability, over all alignments with the sound."""

    words: tuple[str, ...]
    log_probability: float


def free_score(log_probs: Floats) -> float:
    """The log-probability of the likeliest path that need not spell any word."""
    return float(log_probs.max(axis=1).sum())


def likeliest_path(log_probs: Floats, graph: SpellingGraph) -> Wording | None:
    """The words of the single best path through `graph`, exact; None where none is long enough.

    The score is that of the path, not of all alignments.
    """
    spoken, silent = _best_scores(log_probs, graph)
    ends = np.maximum(spoken[-1, graph.last], silent[-1, graph.last])
    if not len(ends) or ends.max() <= _NEVER / 2:
        return None
    node = int(graph.last[ends.argmax()])
    words = _traced_back(node, spoken, silent, log_probs, graph)
    return Wording(words, float(ends.max()))


def score_of(words: tuple[str, ...], log_probs: Floats, characters: tuple[str, ...]) -> float:
    """The log-probability of just these words, over all alignments, exact.

    `words` are spelled in `characters`, which has the blank first; KeyError for another letter.
    """
    return float(scores_of([words], log_probs, characters)[0])


def scores_of(
    wordings: Sequence[tuple[str, ...]], log_probs: Floats, characters: tuple[str, ...]
) -> Floats:
    """The same of each of `wordings`, (N,), in one go."""
    index = {character: at for at, character in enumerate(characters)}
    spelled = [[index[each] for each in " ".join(words)] for words in wordings]
    # Blanks around and between: the usual lattice of 2n + 1 states. That of a shorter wording goes
    # on in blanks, which lead nowhere.
    ends = np.array([2 * len(each) for each in spelled])
    states = np.zeros((len(spelled), int(ends.max()) + 1), dtype=np.int64)
    for row, symbols in zip(states, spelled, strict=True):
        row[1 : 2 * len(symbols) : 2] = symbols
    skips = np.zeros(states.shape, dtype=bool)
    skips[:, 3::2] = states[:, 3::2] != states[:, 1:-2:2]
    score = np.full(states.shape, _NEVER)
    score[:, :2] = log_probs[0, states[:, :2]]
    step, skip = np.full((2, *states.shape), _NEVER)
    for frame in log_probs[1:]:
        step[:, 1:] = score[:, :-1]
        skip[:, 2:] = np.where(skips[:, 2:], score[:, :-2], _NEVER)
        score = np.logaddexp(np.logaddexp(score, step), skip) + frame[states]
    rows = np.arange(len(spelled))
    found: Floats = np.logaddexp(score[rows, ends], score[rows, ends - 1])
    return found


def without_silence(log_probs: Floats) -> Floats:
    """`log_probs` with one frame of each run that is silent, by 99 in a hundred.

    Nearly all that any wording can make of the others is to pass them, which costs all alike. So it
    changes no comparison of wordings that is not close, and most frames of an utterance are silent.
    """
    silent = log_probs[:, BLANK] > _NEARLY_BLANK
    kept = ~silent
    kept[0] = True
    kept[1:] |= ~silent[:-1]
    return log_probs[kept]


def likely_wordings(log_probs: Floats, graph: SpellingGraph) -> tuple[Wording, ...]:
    """The likeliest sentences of `graph`, best first, by a prefix search with a wide beam.

    A prefix is (words so far, node); it keeps the log-probability of having just named its
    character and of having gone silent since, each summed over alignments.
    """
    Prefix = tuple[tuple[str, ...], int]
    beam: dict[Prefix, tuple[float, float]] = {((), NOWHERE): (_NEVER, 0.0)}
    for frame in log_probs.tolist():
        blank = frame[BLANK]
        found: dict[Prefix, list[float]] = {}
        for prefix, (spoken, silent) in beam.items():
            words, node = prefix
            both = _add(spoken, silent)
            kept = found.setdefault(prefix, [_NEVER, _NEVER])
            kept[1] = _add(kept[1], both + blank)
            if blank > _SURELY_BLANK:
                continue
            if node == NOWHERE:
                following: tuple[int, ...] = tuple(graph.first.tolist())
                symbol = BLANK
            else:
                following = graph.after[node]
                symbol = int(graph.symbols[node])
                kept[0] = _add(kept[0], spoken + frame[symbol])
            for new in following:
                character = int(graph.symbols[new])
                score = (silent if character == symbol else both) + frame[character]
                if frame[character] < -_BEAM_NATS:
                    continue
                # Leaving a word for the space after it completes the word.
                is_space = graph.before[new] == NOWHERE and node != NOWHERE
                done = (*words, graph.words[node] or "") if is_space else words
                at = found.setdefault((done, new), [_NEVER, _NEVER])
                at[0] = _add(at[0], score)
        ranked = sorted(found.items(), key=lambda each: -max(each[1]))[:_BEAM_PREFIXES]
        least = max(ranked[0][1]) - _BEAM_NATS
        beam = {prefix: (at[0], at[1]) for prefix, at in ranked if max(at) >= least}
    last = set(graph.last.tolist())
    wordings = [
        Wording((*words, graph.words[node] or ""), _add(spoken, silent))
        for (words, node), (spoken, silent) in beam.items()
        if node in last
    ]
    return tuple(sorted(wordings, key=lambda each: -each.log_probability))


def _best_scores(log_probs: Floats, graph: SpellingGraph) -> tuple[Floats, Floats]:
    """Of the best path to each node at each frame, (T, N): naming it, and silent since."""
    frames, nodes = len(log_probs), len(graph.symbols)
    spoken = np.full((frames, nodes), _NEVER)
    silent = np.full((frames, nodes), _NEVER)
    spoken[0, graph.first] = log_probs[0, graph.symbols[graph.first]]
    begun = np.cumsum(log_probs[:, BLANK])
    for at in range(1, frames):
        entered = _entered(spoken[at - 1], silent[at - 1], begun[at - 1], graph)
        spoken[at] = np.maximum(spoken[at - 1], entered) + log_probs[at, graph.symbols]
        silent[at] = np.maximum(spoken[at - 1], silent[at - 1]) + log_probs[at, BLANK]
    return spoken, silent


def _entered(spoken: Floats, silent: Floats, begun: float, graph: SpellingGraph) -> Floats:
    fed = graph.before != NOWHERE
    source = graph.before[fed]
    differs = graph.symbols[fed] != graph.symbols[source]
    entered = np.full(len(graph.symbols), _NEVER)
    entered[fed] = np.maximum(silent[source], np.where(differs, spoken[source], _NEVER))
    if len(graph.spaces):
        ends = np.maximum(spoken[graph.ends], silent[graph.ends])
        entered[graph.spaces] = np.maximum.reduceat(ends, graph.end_starts)
    entered[graph.first] = np.maximum(entered[graph.first], begun)
    return entered


def _traced_back(
    node: int, spoken: Floats, silent: Floats, log_probs: Floats, graph: SpellingGraph
) -> tuple[str, ...]:
    ends_of = dict(
        zip(graph.spaces.tolist(), np.split(graph.ends, graph.end_starts[1:]), strict=True)
    )
    words: list[str] = [graph.words[node] or ""]
    at = len(log_probs) - 1
    quiet = silent[at, node] > spoken[at, node]
    while at > 0:
        at -= 1
        if quiet:
            quiet = silent[at, node] > spoken[at, node]
            continue
        here = spoken[at + 1, node] - log_probs[at + 1, graph.symbols[node]]
        if spoken[at, node] >= here - 1e-9:
            continue
        previous = int(graph.before[node])
        if previous == NOWHERE and node in ends_of:
            ends = ends_of[node]
            best = np.maximum(spoken[at, ends], silent[at, ends])
            previous = int(ends[best.argmax()])
            words.append(graph.words[previous] or "")
        elif previous == NOWHERE:
            break  # the first character: only silence came before
        same = graph.symbols[previous] == graph.symbols[node]
        quiet = bool(same or silent[at, previous] > spoken[at, previous])
        node = previous
    return tuple(reversed(words))


def _add(a: float, b: float) -> float:
    """log(e^a + e^b)."""
    if a < b:
        a, b = b, a
    return a + math.log1p(math.exp(b - a)) if b > a - 40 else a
