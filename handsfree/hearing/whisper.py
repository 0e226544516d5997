"""The Whisper network: sound to text, free or from a list of words.

Radford et al., "Robust Speech Recognition via Large-Scale Weak Supervision", 2022, run by
CTranslate2. Nothing here knows of phrases or meanings.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np

from handsfree.hearing.audio import SAMPLE_RATE, Audio, Samples
from handsfree.words.alphabet import LETTER_WORDS

WINDOW_S = 30  # the network was trained on windows of this length; shorter ones lose accuracy
_CPU_THREADS = 2
_BEAM = 10  # also the number of hypotheses asked for
# Fast speech has about seven digits a second; without a bound, noise is spelled out for minutes.
_TOKENS_PER_S = 8
_SHORTEST_TOKENS = 12
_LONGEST_TOKENS = 96
# How the network writes words that it hardly knows. Held to "niner" it doubles or loses figures;
# the spelling alphabet it knows as names.
_NAMES = {spelling for spellings in LETTER_WORDS.values() for spelling in spellings}
_NINER = "niner"
_WRITTEN = {_NINER: "nine or"} | {name: name.capitalize() for name in _NAMES}
# A text that is conditioned on may fill half of the network's 448 places, less a mark.
_LONGEST_PROMPT = 223
_SYMBOLS = [-1]  # CTranslate2's name for the symbols that Whisper itself suppresses by default


@dataclass(frozen=True, slots=True)
class FreeText:
    """A text that the network writes when it may write anything."""

    text: str
    log_probability: float  # natural log


@dataclass(frozen=True, slots=True)
class Hypothesis:
    """Words and the natural logarithm of their probability among the words that were allowed."""

    words: tuple[str, ...]
    log_probability: float


@dataclass(frozen=True, slots=True)
class Encoded:
    """One utterance as the network has taken it in; what is costly is done."""

    features: Any  # a CTranslate2 StorageView
    longest_tokens: int


class Whisper:
    """An English Whisper model in CTranslate2 form."""

    def __init__(self, files: Mapping[str, bytes], at_once: int = 1) -> None:
        """`at_once` utterances can be listened to at the same time, each in a thread of its own.

        The processor is shared between them, and what is heard of each stays the same.
        """
        # Imported here: together they take a third of a second, which `--help` need not wait for.
        import ctranslate2
        import tokenizers
        from faster_whisper.feature_extractor import FeatureExtractor

        self._storage = ctranslate2.StorageView
        self._tokenizer = tokenizers.Tokenizer.from_buffer(files["tokenizer.json"])
        self._network = ctranslate2.models.Whisper(
            "whisper",
            device="cpu",
            compute_type="int8",
            inter_threads=at_once,
            intra_threads=max(1, _CPU_THREADS // at_once),
            files=dict(files),
        )
        self._features = FeatureExtractor()
        self._end = self._token("<|endoftext|>")
        self._start = [self._token("<|startoftranscript|>"), self._token("<|notimestamps|>")]
        self._before = self._token("<|startofprev|>")
        self._all_but = lru_cache(maxsize=64)(self._suppressed)

    def encode(self, audio: Audio) -> Encoded:
        """Take in one utterance of at most 30 s; the rest of a longer one is not heard."""
        window = np.zeros(WINDOW_S * SAMPLE_RATE, np.float32)
        heard = audio.samples[: len(window)]
        window[: len(heard)] = heard
        features = self._features(window, padding=0)[None].astype(np.float32)
        view = self._storage.from_array(np.ascontiguousarray(features))
        return Encoded(self._network.encode(view), _longest_tokens(audio))

    def take_over(self, features: Samples, audio: Audio) -> Encoded:
        """`audio` as another encoder has taken it in: features (1, T, 384), T at most 1500."""
        contiguous = np.ascontiguousarray(features)
        return Encoded(self._storage.from_array(contiguous), _longest_tokens(audio))

    def free(self, encoded: Encoded, prompt: str) -> tuple[FreeText, ...]:
        """What was said, in any words, by someone who has just said `prompt`.

        At least one text, best first.
        """
        result = self._decode(encoded, prompt, _SYMBOLS)
        return tuple(
            FreeText(self._tokenizer.decode(tokens).strip(), float(score))
            for tokens, score in zip(result.sequences_ids, result.scores, strict=True)
        )

    def restricted(
        self, encoded: Encoded, vocabulary: frozenset[str], prompt: str
    ) -> tuple[Hypothesis, ...]:
        """The likeliest word sequences over `vocabulary`, best first, with no repeats.

        The pieces of which the words are made are all that the network may write, so some
        hypotheses hold words that are not in the vocabulary: "f" is a piece of "fife".
        """
        result = self._decode(encoded, prompt, self._all_but(vocabulary))
        best: dict[tuple[str, ...], float] = {}
        for tokens, score in zip(result.sequences_ids, result.scores, strict=True):
            words = _as_said(self._tokenizer.decode(tokens), vocabulary)
            best[words] = max(float(score), best.get(words, -np.inf))
        return tuple(
            Hypothesis(words, score)
            for words, score in sorted(best.items(), key=lambda each: -each[1])
        )

    def forced(self, encoded: Encoded, text: str, prompt: str) -> tuple[float, ...]:
        """Natural logs of the probabilities of `text` after `prompt`, when anything may be said.

        One for each piece of which the text is made, each given the pieces before it, and a last
        one for nothing following.
        """
        start = self._after(prompt)
        pieces = self._pieces(text)
        result = self._network.generate(
            encoded.features,
            [[*start, *pieces]],
            beam_size=1,
            max_length=len(start) + len(pieces) + 1,
            return_logits_vocab=True,
            # Nothing may be kept from its share of the probability, the end of text least of all.
            suppress_blank=False,
            suppress_tokens=[],
        )[0]
        logs = []
        for logits, token in zip(result.logits[0], [*pieces, self._end], strict=False):
            values = np.asarray(logits)
            highest = values.max()
            total = highest + np.log(np.exp(values - highest).sum(dtype=np.float64))
            logs.append(float(values[token] - total))
        return tuple(logs)

    def _decode(self, encoded: Encoded, prompt: str, suppressed: list[int]) -> Any:
        start = self._after(prompt)
        return self._network.generate(
            encoded.features,
            [start],
            beam_size=_BEAM,
            num_hypotheses=_BEAM,
            length_penalty=0,
            max_length=len(start) + encoded.longest_tokens,
            return_scores=True,
            suppress_tokens=suppressed,
        )[0]

    def _after(self, prompt: str) -> list[int]:
        return [self._before, *self._pieces(prompt)[-_LONGEST_PROMPT:], *self._start]

    def _pieces(self, words: str) -> list[int]:
        # Lower case with a leading space is how the network itself writes words in a sentence.
        return list(self._tokenizer.encode(" " + words, add_special_tokens=False).ids)

    def _token(self, name: str) -> int:
        token = self._tokenizer.token_to_id(name)
        if token is None:
            raise ValueError(f"not a Whisper tokenizer: it has no {name}")
        return token

    def _suppressed(self, vocabulary: frozenset[str]) -> list[int]:
        # A name in small letters is allowed too, for "mike" and "golf" are also words.
        written = (vocabulary - {_NINER}) | {_WRITTEN.get(word, word) for word in vocabulary}
        allowed = {self._end}.union(*map(self._pieces, written))
        return [each for each in range(self._tokenizer.get_vocab_size()) if each not in allowed]


def written(words: Iterable[str]) -> str:
    """`words` as the network writes them."""
    return " ".join(_WRITTEN.get(word, word) for word in words)


def _longest_tokens(audio: Audio) -> int:
    seconds = min(len(audio.samples) / SAMPLE_RATE, WINDOW_S)
    return min(_SHORTEST_TOKENS + int(_TOKENS_PER_S * seconds), _LONGEST_TOKENS)


def _as_said(text: str, vocabulary: frozenset[str]) -> tuple[str, ...]:
    """The words of `text`, those of `_WRITTEN` put back where they are in the vocabulary."""
    text = text.lower()
    if _NINER in vocabulary:
        text = re.sub(rf"\b{_WRITTEN[_NINER]}\b", _NINER, text)
    return tuple(text.split())
