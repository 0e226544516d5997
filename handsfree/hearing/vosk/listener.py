"""Vosk as a listener, restricted to the words of the phrase set, piece by piece as sound comes in.

How far its words can be believed was never measured: no English model was at hand. So its score
stays where nothing is acted on, however sure it is; see `one_more.py` for what it may do. Kaldi
adds a little noise to every sound ("dither"), so the same one may be heard differently twice.
"""

import logging
import math
from dataclasses import dataclass
from datetime import timedelta
from functools import lru_cache

import numpy as np

from handsfree.errors import HandsfreeError
from handsfree.hearing.audio import SAMPLE_RATE, Audio, Samples
from handsfree.hearing.vosk.grammar import Grammar, can_hear, grammar_of
from handsfree.hearing.vosk.model import Decoder, Model, VoskFailed
from handsfree.hearing.vosk.result import (
    SaidWord,
    alternatives_in,
    words_in,
)
from handsfree.hearing.vosk.weighing import NOTHING, VoskResults, weigh
from handsfree.words.heard import Heard, Opinion
from handsfree.words.numerals import digit
from handsfree.words.phrases import PhraseSet

_diagnostics = logging.getLogger(__name__)

# Not fitted. Below what `engine/trust.py` believes of a value or a phrase.
HIGHEST_SCORE = 0.5
# The lattice of a small model holds few more: its results lie within 2 nats of the best.
_ALTERNATIVES = 10
_PIECE = SAMPLE_RATE // 5  # samples, 0.2 s; Vosk itself goes on in steps of that length


class OtherLanguage(HandsfreeError):
    """The model cannot hear numbers."""

    def __init__(self, name: str, missing: tuple[str, ...]) -> None:
        super().__init__(
            f"Speech model {name}: it does not know the words {', '.join(missing)}, so it cannot "
            "hear numbers. It is a model of another language: take one for English."
        )


@dataclass(frozen=True, slots=True)
class TakenIn:
    """One utterance, as Vosk heard it."""

    heard: Heard
    weighed: VoskResults
    words: tuple[SaidWord, ...]  # the likeliest, word by word, phrase or not


class VoskListener:
    """A `Recognizer` that is never believed by itself."""

    def __init__(self, model: Model) -> None:
        """Listen with a loaded `model`."""
        self._model = model
        self._grammar = lru_cache(maxsize=64)(self._grammar_of)
        self._told_of: set[str] = set()

    @property
    def name(self) -> str:
        """The model's."""
        return self._model.name

    def can_hear(self, words: tuple[str, ...]) -> bool:
        """Whether the model knows each of `words`, in any spelling."""
        return all(can_hear(each, self._model.knows) for each in words)

    def recognize(self, audio: Audio, phrases: PhraseSet) -> Heard:
        """See `Recognizer.recognize`. The score is not calibrated, and at most HIGHEST_SCORE."""
        return self.take_in(audio, phrases).heard

    def take_in(self, audio: Audio, phrases: PhraseSet) -> TakenIn:
        """What was heard, and all that Vosk says of it. If the library fails, nothing was heard."""
        try:
            stream = self.begin(phrases, audio.started)
            for start in range(0, len(audio.samples), _PIECE):
                stream.accept(audio.samples[start : start + _PIECE])
            return stream.finish()
        except HandsfreeError as error:
            _diagnostics.warning("%s", error)
            return TakenIn(_heard(self.name, NOTHING, audio.started, audio.ended), NOTHING, ())

    def begin(self, phrases: PhraseSet, started: timedelta) -> "VoskStream":
        """Begin to listen to an utterance that starts at `started`; raises VoskFailed."""
        grammar = self._grammar(phrases.vocabulary)
        new = [each for each in grammar.missing if each not in self._told_of]
        if new:
            self._told_of.update(new)
            _diagnostics.warning(
                "Speech model %s does not know the words %s: it has no say where one is heard.",
                self.name,
                ", ".join(new),
            )
        return VoskStream(self._model, grammar, phrases, started)

    def _grammar_of(self, vocabulary: frozenset[str]) -> Grammar:
        return grammar_of(vocabulary, self._model.knows)


class VoskStream:
    """One utterance, while it is said."""

    def __init__(
        self, model: Model, grammar: Grammar, phrases: PhraseSet, started: timedelta
    ) -> None:
        """Raises VoskFailed. Where no word is known, nothing will be heard."""
        self._name = model.name
        self._phrases = phrases
        self._started = started
        self._samples = 0
        self._whole: Decoder | None = None
        self._by_word: Decoder | None = None
        if grammar.words:
            # Vosk gives alternatives or confidences, so two decoders hear the sound. With so few
            # words they are quick.
            self._whole = model.decoder(grammar)
            self._whole.SetMaxAlternatives(_ALTERNATIVES)
            self._by_word = model.decoder(grammar)
            self._by_word.SetWords(True)

    def accept(self, samples: Samples) -> None:
        """Take in the next piece, float32 mono from -1 to 1 at 16 kHz, of any length.

        When the utterance has ended is not for Vosk to say. Raises VoskFailed.
        """
        self._samples += len(samples)
        if self._whole is None or self._by_word is None or not len(samples):
            return
        pcm = np.round(np.clip(samples, -1.0, 1.0) * 32767).astype("<i2").tobytes()
        try:
            for decoder in (self._whole, self._by_word):
                decoder.AcceptWaveform(pcm)
        except Exception as error:  # the library raises nothing more definite
            raise VoskFailed(self._name, str(error)) from error

    def finish(self) -> TakenIn:
        """The utterance has ended: what was heard. Raises VoskFailed or ResultBroken."""
        weighed, said = NOTHING, tuple[SaidWord, ...]()
        if self._whole is not None and self._by_word is not None:
            try:
                answers = self._whole.FinalResult(), self._by_word.FinalResult()
            except Exception as error:  # the library raises nothing more definite
                raise VoskFailed(self._name, str(error)) from error
            said = words_in(answers[1])
            weighed = weigh(alternatives_in(answers[0]), said, self._phrases)
        ended = self._started + timedelta(seconds=self._samples / SAMPLE_RATE)
        return TakenIn(_heard(self._name, weighed, self._started, ended), weighed, said)


def check_language(name: str, missing: tuple[str, ...]) -> None:
    """Raise OtherLanguage where a figure has only words that are `missing`."""
    spellings: dict[str, list[str]] = {}
    for arc in digit().arcs[0]:
        spellings.setdefault("".join(arc.emits), []).append(arc.word)
    lacking = [all_[0] for all_ in spellings.values() if set(all_) <= set(missing)]
    if lacking:
        raise OtherLanguage(name, tuple(lacking))


def _heard(name: str, weighed: VoskResults, started: timedelta, ended: timedelta) -> Heard:
    best = weighed.best
    words = best.words if best else ()
    opinion = Opinion(
        listener=name,
        words=words,
        log_probability=math.log(best.probability) if best else -math.inf,
        margin=weighed.margin,
        free_text="",  # without a grammar, the Korean model took longer than the sound lasts
    )
    return Heard(
        words=words,
        score=HIGHEST_SCORE * min(best.probability, 1.0) * weighed.least_confidence if best else 0,
        alternatives=tuple(each.words for each in weighed.candidates if each is not best),
        opinions=(opinion,),
        started=started,
        ended=ended,
    )
