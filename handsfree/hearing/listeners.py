"""Two listeners that must agree on a number: the reader, and Whisper on what the reader took in.

An open phrase is Whisper's alone, by its own encoder with the full window: the reader is blind to
words that it was not trained on. A number that stays in doubt is put to that encoder too, as a
third opinion.
"""

import logging
from collections.abc import Hashable
from dataclasses import replace

from handsfree.errors import HandsfreeError
from handsfree.hearing.audio import Audio
from handsfree.hearing.catalogue import read_catalogue
from handsfree.hearing.ctc import Wording
from handsfree.hearing.reader import Read, Reader, ReaderUnusable
from handsfree.hearing.recognizer import Recognizer
from handsfree.hearing.transcriber import Transcriber
from handsfree.hearing.weighing import NOT_AMONG_BEST, Candidate
from handsfree.words.heard import Heard, Opinion
from handsfree.words.meanings import Identified, Stated, Understood
from handsfree.words.phrases import PhraseSet

_diagnostics = logging.getLogger(__name__)

READER = "reader"
QUICK = "whisper-tiny.en-int8 on the reader's features"

# Of the doubt that Whisper leaves with its own encoder, an agreeing reader leaves a fifth. On the
# reader's features Whisper makes the reader's mistakes with it, so agreement takes no doubt away
# there. A reader that hears something else leaves a tenth of the belief. Not fitted: the reader
# was trained on the people that the score is fitted on, so among them it agrees too well.
_DOUBT_LEFT_APART = 0.2
_DOUBT_LEFT_TOGETHER = 1.0
_BELIEF_LEFT = 0.1
# Nats. Sound that is no phrase of the set has a free path that is likelier than any phrase.
_FARTHEST_BEHIND_FREE = 3.0
# A number that is believed less than this is put to Whisper's own encoder too.
_THIRD_OPINION_BELOW = 0.95


class TwoListeners:
    """A `Recognizer` whose numbers need two listeners."""

    def __init__(self, transcriber: Transcriber, reader: Reader) -> None:
        """The two stay loaded."""
        self._transcriber = transcriber
        self._reader = reader

    def listen(self, audio: Audio, phrases: PhraseSet) -> Heard:
        """See `Recognizer.listen`. A value is never believed by the word of one listener."""
        if not phrases.holds_values:
            return self._transcriber.listen(audio, phrases)
        read = self._reader.read(audio)
        if read is None:
            heard = self._transcriber.listen(audio, phrases)
            alone = _is_value(heard.words, phrases)
            return replace(heard, score=_BELIEF_LEFT * heard.score) if alone else heard
        wordings = self._reader.wordings(read, phrases)
        quick = self._quick(audio, read, wordings, phrases)
        if quick is not None and quick.score >= _THIRD_OPINION_BELOW:
            return quick
        weighed = self._transcriber.weigh(self._transcriber.encode(audio), phrases)
        full = self._transcriber.judge(audio, weighed, self._transcriber.name)
        if not _is_value(full.words, phrases):
            return full
        full = self._agreed(full, weighed.candidates, read, wordings, phrases, _DOUBT_LEFT_APART)
        if quick is None:
            return full
        likelier = max(quick, full, key=lambda each: each.score)
        return replace(likelier, opinions=(*full.opinions, quick.opinions[0]))

    def _quick(
        self, audio: Audio, read: Read, wordings: tuple[Wording, ...], phrases: PhraseSet
    ) -> Heard | None:
        """The value that the two hear from the same features; None where the reader hears none."""
        if not _is_value(_best(wordings), phrases):
            return None
        encoded = self._transcriber.take_over(read.features, audio)
        weighed = self._transcriber.weigh(encoded, phrases)
        heard = self._transcriber.judge(audio, weighed, QUICK)
        return self._agreed(
            heard, weighed.candidates, read, wordings, phrases, _DOUBT_LEFT_TOGETHER
        )

    def _agreed(
        self,
        heard: Heard,
        candidates: tuple[Candidate, ...],
        read: Read,
        wordings: tuple[Wording, ...],
        phrases: PhraseSet,
        doubt_left: float,
    ) -> Heard:
        """`heard` with the reader's opinion taken into account."""
        opinion = self._reader.opinion(read, wordings)
        both = _together(candidates, wordings, phrases)
        best = both[0] if both else ()
        same = (
            _meaning(best, phrases)
            == _meaning(heard.words, phrases)
            == _meaning(opinion.words, phrases)
        )
        close = self._reader.behind_free(read, opinion) <= _FARTHEST_BEHIND_FREE
        score = heard.score
        score = 1 - doubt_left * (1 - score) if same and close else _BELIEF_LEFT * score
        opinions: tuple[Opinion, ...] = (*heard.opinions, opinion)
        return replace(heard, words=best, score=score, alternatives=both[1:], opinions=opinions)


def open_recognizer() -> Recognizer:
    """The embedded listeners; Whisper alone, with one line that says why, where the reader fails.

    Raises the errors of `catalogue` where Whisper cannot be loaded either.
    """
    transcriber = Transcriber()
    try:
        return TwoListeners(transcriber, Reader(read_catalogue().entry(READER)))
    except (HandsfreeError, ReaderUnusable) as error:
        _diagnostics.warning("%s Listening with %s alone.", error, transcriber.name)
        return transcriber


def _together(
    candidates: tuple[Candidate, ...], wordings: tuple[Wording, ...], phrases: PhraseSet
) -> tuple[tuple[str, ...], ...]:
    """One wording for each meaning that either listener has, by the product of both, best first."""
    words: dict[Hashable, tuple[str, ...]] = {}
    heard: dict[Hashable, float] = {}
    read: dict[Hashable, float] = {}
    for wording in wordings:
        meaning = _meaning(wording.words, phrases)
        words.setdefault(meaning, wording.words)
        read[meaning] = wording.log_probability
    for candidate in candidates:
        meaning = _meaning(candidate.words, phrases)
        words.setdefault(meaning, candidate.words)
        heard[meaning] = candidate.weight
    least_heard = 2 * NOT_AMONG_BEST
    least_read = min(read.values(), default=0.0) + NOT_AMONG_BEST
    ranked = sorted(
        words,
        key=lambda each: -(heard.get(each, least_heard) + read.get(each, least_read)),
    )
    return tuple(words[each] for each in ranked)


def _meaning(words: tuple[str, ...], phrases: PhraseSet) -> Hashable:
    parsed = phrases.parse(words)
    return parsed.meaning if isinstance(parsed, Understood) else words


def _is_value(words: tuple[str, ...], phrases: PhraseSet) -> bool:
    return isinstance(_meaning(words, phrases), Stated | Identified)


def _best(wordings: tuple[Wording, ...]) -> tuple[str, ...]:
    return wordings[0].words if wordings else ()
