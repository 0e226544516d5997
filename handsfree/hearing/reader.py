"""The reader: a small CTC network of our own that hears numbers and letters.

It gives every wording of a phrase set an exact score, and does not lose repeated figures. It is
blind to words that it was not trained on ("down" becomes "no" with full confidence), so it never
confirms open phrases: see `listeners.py`. How it was made: models/training/README.md.
"""

import json
import math
from collections.abc import Hashable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from handsfree.hearing.audio import SAMPLE_RATE, Audio, Samples
from handsfree.hearing.catalogue import ModelEntry
from handsfree.hearing.ctc import Floats, Wording, free_score, likeliest_path, likely_wordings
from handsfree.hearing.spelling import SpellingGraph, spell
from handsfree.words.heard import Opinion
from handsfree.words.language import language_of
from handsfree.words.meanings import NotUnderstood, Understood
from handsfree.words.phrases import PhraseSet

_CPU_THREADS = 2
_FRAME = 320  # samples in a frame of the network's output, 20 ms
_MEL_PER_FRAME = 2
# As it was trained: some silence behind the last word, and no shorter or longer window.
_SILENCE_S = 0.3
_SHORTEST_S = 3.0
_LONGEST_S = 10.0


class ReaderUnusable(ValueError):
    """The files are whole, but not those of a reader that this code knows."""


@dataclass(frozen=True, slots=True)
class Read:
    """One utterance as the network has taken it in."""

    features: Samples  # (1, 1500, 384), what Whisper's decoder reads
    log_probs: Floats  # (T, C) natural logs, a frame of 20 ms a row, blank first


class Reader:
    """Hears numbers and letters by exact search over the phrase set."""

    def __init__(self, entry: ModelEntry) -> None:
        """Load the model; raises the errors of `catalogue`, or ReaderUnusable."""
        import onnxruntime
        from faster_whisper.feature_extractor import FeatureExtractor

        files = entry.verified_files()
        options = onnxruntime.SessionOptions()
        options.intra_op_num_threads = _CPU_THREADS
        self._name = entry.name
        self._network = onnxruntime.InferenceSession(
            files["reader.onnx"], options, providers=["CPUExecutionProvider"]
        )
        self._characters = tuple(json.loads(files["characters.json"]))
        outputs = {each.name: each.shape for each in self._network.get_outputs()}
        if outputs.get("log_probs", [None])[-1] != len(self._characters):
            raise ReaderUnusable(f"{entry.name}: its output is not one of {outputs}")
        self._log_mel = FeatureExtractor()
        self._graph = lru_cache(maxsize=64)(self._graph_of)

    def read(self, audio: Audio) -> Read | None:
        """Take in one utterance; None for one that is longer than the network hears, 10 s."""
        length = len(audio.samples) / SAMPLE_RATE
        if length + _SILENCE_S > _LONGEST_S:
            return None
        frames = math.ceil(max(length + _SILENCE_S, _SHORTEST_S) * SAMPLE_RATE / _FRAME)
        window = np.zeros(frames * _FRAME, np.float32)
        window[: len(audio.samples)] = audio.samples
        mel = self._log_mel(window)[None, :, : _MEL_PER_FRAME * frames].astype(np.float32)
        features, log_probs = self._network.run(["features", "log_probs"], {"mel": mel})
        return Read(features, log_probs[0].astype(np.float64))

    def wordings(self, read: Read, phrases: PhraseSet) -> tuple[Wording, ...]:
        """The likeliest wording of each meaning, best first; empty where `phrases` has none."""
        graph = self._graph(phrases)
        exact = likeliest_path(read.log_probs, graph)
        found = (*likely_wordings(read.log_probs, graph), *([exact] if exact else []))
        return _by_meaning(found, phrases)

    def opinion(self, read: Read, wordings: tuple[Wording, ...]) -> Opinion:
        """`wordings` as one listener's opinion."""
        free_text = self._greedy(read.log_probs)
        if not wordings:
            return Opinion(self._name, (), -math.inf, 0.0, free_text)
        best, *others = wordings
        margin = best.log_probability - others[0].log_probability if others else math.inf
        return Opinion(self._name, best.words, best.log_probability, margin, free_text)

    def behind_free(self, read: Read, opinion: Opinion) -> float:
        """How much less likely the words are than the best path held to no phrase, in nats."""
        return free_score(read.log_probs) - opinion.log_probability

    def _graph_of(self, phrases: PhraseSet) -> SpellingGraph:
        return spell(language_of(phrase.automaton for phrase in phrases.phrases), self._characters)

    def _greedy(self, log_probs: Floats) -> str:
        best = log_probs.argmax(axis=1)
        changed = np.concatenate([[True], best[1:] != best[:-1]])
        return " ".join("".join(self._characters[each] for each in best[changed]).split())


def _by_meaning(wordings: tuple[Wording, ...], phrases: PhraseSet) -> tuple[Wording, ...]:
    """The likeliest wording of each meaning, best first."""
    best: dict[Hashable, Wording] = {}
    for each in sorted(wordings, key=lambda each: -each.log_probability):
        parsed = phrases.parse(each.words)
        if not isinstance(parsed, NotUnderstood):
            # Words with two meanings are a meaning of their own: they will be asked about.
            meaning = parsed.meaning if isinstance(parsed, Understood) else each.words
            best.setdefault(meaning, each)
    return tuple(best.values())
