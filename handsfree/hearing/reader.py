"""The reader: a small CTC network of our own that hears numbers and letters.

It gives every wording of a phrase set an exact score, and does not lose repeated figures. It is
blind to words that it was not trained on ("down" becomes "no" with full confidence), so it never
hears open phrases, and is only asked about what Whisper heard: see `listeners.py`. How it was made:
models/training/README.md.
"""

import json
import math
from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from handsfree.hearing.audio import SAMPLE_RATE, Audio, Samples
from handsfree.hearing.ctc import (
    Floats,
    Wording,
    free_score,
    likeliest_path,
    likely_wordings,
    score_of,
    scores_of,
    without_silence,
)
from handsfree.hearing.network import NetworkUnusable, network_in, shapes_of
from handsfree.hearing.other_words import (
    HABIT_BEFORE,
    HABITS,
    NOT_BEHIND,
    OTHERS_BEHIND,
    with_and_without,
)
from handsfree.hearing.spelling import SpellingGraph, spell
from handsfree.words.heard import Opinion
from handsfree.words.language import language_of
from handsfree.words.phrases import PhraseSet

if TYPE_CHECKING:
    from onnxruntime import InferenceSession

_CPU_THREADS = 2
FRAME = 320  # samples in a frame of the network's output, 20 ms
_MEL_PER_FRAME = 2
_MEL_SHAPE = [1, 80]  # and how long
_FEATURES_SHAPE = [1, 1500, 384]
# As it was trained: some silence behind the last word, and no shorter or longer window.
_SILENCE_S = 0.3
_SHORTEST_S = 3.0
_LONGEST_S = 10.0
_SHORT_SILENCE_FRAMES = 150


@dataclass(frozen=True, slots=True)
class Read:
    """One utterance as the network has taken it in."""

    features: Samples  # (1, 1500, 384), what Whisper's decoder reads: T frames, then silence
    log_probs: Floats  # (T, C) natural logs, a frame of 20 ms a row, blank first

    @property
    def short_features(self) -> Samples:
        """The features with 3 s of silence behind what was heard, for words that are given.

        A decoder that is free to go on repeats itself on them, and needs all of the silence. One
        that is only asked about given words answers the same, in a third of the time.
        """
        return self.features[:, : len(self.log_probs) + _SHORT_SILENCE_FRAMES]


class Reader:
    """Hears numbers and letters by exact search over the phrase set."""

    def __init__(self, name: str, files: Mapping[str, bytes]) -> None:
        """Load the model `name` from `reader.onnx` and `characters.json`; or NetworkUnusable."""
        from faster_whisper.feature_extractor import FeatureExtractor

        self._name = name
        self._characters = _characters_in(files["characters.json"], name)
        self._network = _network_in(files["reader.onnx"], name, len(self._characters))
        self._log_mel = FeatureExtractor()
        self._graph = lru_cache(maxsize=64)(self._graph_of)

    def read(self, audio: Audio) -> Read | None:
        """Take in one utterance; None for one that is longer than the network hears, 10 s."""
        length = len(audio.samples) / SAMPLE_RATE
        if length + _SILENCE_S > _LONGEST_S:
            return None
        frames = math.ceil(max(length + _SILENCE_S, _SHORTEST_S) * SAMPLE_RATE / FRAME)
        window = np.zeros(frames * FRAME, np.float32)
        window[: len(audio.samples)] = audio.samples
        mel = self._log_mel(window)[None, :, : _MEL_PER_FRAME * frames].astype(np.float32)
        features, log_probs = self._network.run(["features", "log_probs"], {"mel": mel})
        return Read(features, log_probs[0].astype(np.float64))

    def make_ready(self, phrases: PhraseSet) -> None:
        """Build the graph of `phrases`, which is kept."""
        self._graph(phrases)

    def wordings(self, read: Read, phrases: PhraseSet) -> tuple[Wording, ...]:
        """The likeliest wording of each meaning, best first; empty where `phrases` has none."""
        graph = self._graph(phrases)
        found = likely_wordings(read.log_probs, graph)
        # No path of any sentence is likelier than the free one: words that reach it cannot have
        # been missed by the beam. Others need the exact search.
        if not found or found[0].log_probability < free_score(read.log_probs):
            exact = likeliest_path(read.log_probs, graph)
            found = (*found, exact) if exact else found
        return _by_meaning(found, phrases)

    def opinion(self, read: Read, wordings: tuple[Wording, ...]) -> Opinion:
        """`wordings` as one listener's opinion."""
        free_text = self.greedy(read.log_probs)
        if not wordings:
            return Opinion(self._name, (), -math.inf, 0.0, free_text)
        best, *others = wordings
        margin = best.log_probability - others[0].log_probability if others else math.inf
        return Opinion(self._name, best.words, best.log_probability, margin, free_text)

    def behind_free(self, read: Read, opinion: Opinion) -> float:
        """How much less likely the words are than the best path of any characters, in nats."""
        return free_score(read.log_probs) - opinion.log_probability

    def behind_free_a_letter(self, read: Read, words: tuple[str, ...]) -> float:
        """The same of any words, whoever heard them, in nats for each of their letters.

        Words that it was never taught are behind too, so this is evidence and no verdict.
        """
        score = score_of(words, read.log_probs, self._characters)
        return (free_score(read.log_probs) - score) / len(" ".join(words))

    def likeliest_phrase(self, read: Read, phrases: PhraseSet) -> tuple[str, ...]:
        """Of the phrases with fixed words the one that fits best; it may fit ill. () : none is."""
        if not phrases.fixed:
            return ()
        scores = scores_of(phrases.fixed, without_silence(read.log_probs), self._characters)
        return phrases.fixed[int(scores.argmax())]

    def may_be_other_words(
        self,
        read: Read,
        words: tuple[str, ...],
        others: tuple[tuple[str, ...], ...] = (),
        *,
        or_a_habit: bool = True,
    ) -> bool:
        """Whether what was heard as a phrase may be that with a "not", or what is said by habit, or
        one of the `others`, which would do something else.
        """
        negated = list(with_and_without(words))
        habits = HABITS if or_a_habit and words not in HABITS else ()
        ahead = (
            *(-NOT_BEHIND for _ in negated),
            *(HABIT_BEFORE for _ in habits),
            *(-OTHERS_BEHIND for _ in others),
        )
        sound = without_silence(read.log_probs)
        scores = scores_of([words, *negated, *habits, *others], sound, self._characters)
        return bool((scores[1:] - ahead).max() >= scores[0])

    def _graph_of(self, phrases: PhraseSet) -> SpellingGraph:
        return spell(language_of(phrase.automaton for phrase in phrases.phrases), self._characters)

    def greedy(self, log_probs: Floats) -> str:
        """The likeliest characters, in any order; no language is known of."""
        best = log_probs.argmax(axis=1)
        changed = np.concatenate([[True], best[1:] != best[:-1]])
        return " ".join("".join(self._characters[each] for each in best[changed]).split())


def _characters_in(content: bytes, name: str) -> tuple[str, ...]:
    try:
        characters = json.loads(content)
    except ValueError as error:
        raise NetworkUnusable(name, f"characters.json is not JSON ({error})") from error
    if not isinstance(characters, list) or not all(isinstance(each, str) for each in characters):
        raise NetworkUnusable(name, "characters.json is not a list of characters")
    return tuple(characters)


def _network_in(content: bytes, name: str, characters: int) -> "InferenceSession":
    network = network_in(content, name, "reader.onnx", _CPU_THREADS)
    shapes = shapes_of(network)
    if (
        shapes.get("mel", [])[:-1] != _MEL_SHAPE
        or shapes.get("features") != _FEATURES_SHAPE
        or shapes.get("log_probs", [])[-1:] != [characters]
    ):
        raise NetworkUnusable(
            name, f"reader.onnx does not fit a reader of {characters} characters: it has {shapes}"
        )
    return network


def _by_meaning(wordings: tuple[Wording, ...], phrases: PhraseSet) -> tuple[Wording, ...]:
    """The likeliest wording of each meaning, best first."""
    best: dict[Hashable, Wording] = {}
    for each in sorted(wordings, key=lambda each: -each.log_probability):
        meaning = phrases.meaning_of(each.words)
        if meaning is not None:
            best.setdefault(meaning, each)
    return tuple(best.values())
