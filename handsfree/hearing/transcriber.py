"""The transcriber: Whisper as a listener, kept to the words of the phrase set."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from handsfree.hearing.agreement import has_figures, says_the_same
from handsfree.hearing.audio import Audio, Samples
from handsfree.hearing.models.catalogue import read_catalogue
from handsfree.hearing.prompts import before_free_text, before_words, is_sentence, sentence, told
from handsfree.hearing.score import Evidence, fitted_score
from handsfree.hearing.weighing import NOT_AMONG_BEST, Candidate, margin, weigh
from handsfree.hearing.whisper import Encoded, Hypothesis, Whisper, written
from handsfree.words.heard import Heard, Opinion
from handsfree.words.phrases import PhraseSet

MODEL = "whisper-tiny.en-int8"
_SURELY = -0.5  # nats


@dataclass(frozen=True, slots=True)
class WhisperHeard:
    """What was made of one utterance."""

    candidates: tuple[Candidate, ...]  # one for each meaning, best first; may be empty
    free_text: str
    # Natural logs of the probabilities of the pieces of the best words and of their end, when
    # anything may be said; empty where there are no words.
    pieces: tuple[float, ...]

    @property
    def evidence(self) -> Evidence | None:
        """What speaks for and against the best words; None where there are no words."""
        if not self.candidates:
            return None
        best = self.candidates[0]
        return Evidence(
            has_figures=has_figures(best.words),
            margin=margin(self.candidates),
            # Among the phrases alone the words are at least as likely as among all that may be
            # said: a bound for words that the restricted decoding does not have among its best.
            log_probability=max(best.log_probability, sum(self.pieces)),
            words=len(best.words),
            support=best.support,
            says_the_same=says_the_same(best.words, self.free_text),
            least=min(self.pieces),
            end=self.pieces[-1],
        )

    @property
    def is_surely_written(self) -> bool:
        """Whether the best words are what would be written by itself, and hardly anything else."""
        evidence = self.evidence
        return (
            evidence is not None
            and evidence.says_the_same
            and min(evidence.support, evidence.least) >= _SURELY
        )


class Transcriber:
    """A `Recognizer` that needs no training and knows all words.

    Each utterance is encoded once and decoded twice: freely, and with every piece of text
    suppressed but those that spell words of the phrase set. Then the words that won are put to
    the free network.
    """

    def __init__(self, model: str = MODEL, at_once: int = 1) -> None:
        """Load `model` from the catalogue; raises the errors of `catalogue`. See `Whisper`."""
        self.name = model
        self._whisper = Whisper(read_catalogue().entry(model).verified_files(), at_once)
        self._score = fitted_score()

    def recognize(self, audio: Audio, phrases: PhraseSet) -> Heard:
        """See `Recognizer.recognize`. Takes as long for a short `audio` as for one of 30 s."""
        return self.judge(audio, self.weigh(self.encode(audio), phrases), self.name)

    def encode(self, audio: Audio) -> Encoded:
        """The costly part of listening, which does not depend on what may be said."""
        return self._whisper.encode(audio)

    def take_over(self, features: Samples, audio: Audio) -> Encoded:
        """Take `features` (1, T, 384) of `audio`, by another network, for those of the encoder."""
        return self._whisper.take_over(features, audio)

    def judge(
        self,
        audio: Audio,
        weighed: WhisperHeard,
        listener: str,
        behind_free: float | None = None,
    ) -> Heard:
        """What `listener` believes was said in `audio`, and how far to believe it.

        `behind_free` is what the reader says to the best words, see `Evidence`.
        """
        words = tuple(each.words for each in weighed.candidates)
        evidence = weighed.evidence
        if evidence is not None:
            evidence = replace(evidence, behind_free=behind_free)
        opinion = Opinion(
            listener=listener,
            words=words[0] if words else (),
            log_probability=weighed.candidates[0].log_probability if words else -math.inf,
            margin=margin(weighed.candidates) if words else 0.0,
            free_text=weighed.free_text,
        )
        return Heard(
            words=opinion.words,
            score=self._score.probability(evidence) if evidence else 0.0,
            alternatives=words[1:],
            opinions=(opinion,),
            started=audio.started,
            ended=audio.ended,
        )

    def weigh(
        self, encoded: Encoded, phrases: PhraseSet, proposed: tuple[str, ...] = ()
    ) -> WhisperHeard:
        """What was said, if it was one of `phrases`; where none comes to mind, `proposed`."""
        restricted = self._whisper.restricted(
            encoded, phrases.vocabulary, before_words(phrases.vocabulary)
        )
        return self._weighed(encoded, phrases, restricted, proposed)

    def weigh_freely(self, encoded: Encoded, phrases: PhraseSet) -> WhisperHeard:
        """The same by what is written freely alone, in two thirds of the time.

        What is no phrase as it is written has no candidates, where `weigh` bends it into one.
        """
        return self._weighed(encoded, phrases, ())

    def _weighed(
        self,
        encoded: Encoded,
        phrases: PhraseSet,
        restricted: Sequence[Hypothesis],
        proposed: tuple[str, ...] = (),
    ) -> WhisperHeard:
        free = self._whisper.free(encoded, before_free_text(phrases))
        candidates = weigh(restricted, free, phrases)
        if not candidates and proposed:
            candidates = (Candidate(proposed, NOT_AMONG_BEST, NOT_AMONG_BEST),)
        pieces: tuple[float, ...] = ()
        if candidates:
            # Any sound is bent into some phrase of the set. Said of "pin removed", the words "pin
            # fitted" have a piece that is all but impossible once anything may be said.
            words = candidates[0].words
            if is_sentence(words):
                pieces = self._whisper.forced(encoded, sentence(words), told(phrases))
            else:
                pieces = self.asked(encoded, words)
        return WhisperHeard(candidates, free[0].text, pieces)

    def asked(self, encoded: Encoded, words: tuple[str, ...]) -> tuple[float, ...]:
        """What Whisper says to a value in `words`, when anything may be said.

        Natural logs of the probabilities of their pieces, each given those before it, and last of
        their end. Where each is above a half, these words are what it would write by itself.
        """
        return self._whisper.forced(encoded, written(words), before_words(frozenset(words)))
