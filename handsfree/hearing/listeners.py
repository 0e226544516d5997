"""Two listeners, quick first: the reader, and Whisper on what the reader took in.

A value needs both. The reader hears it, by exact search, and Whisper is asked how likely it would
be to write just these words. What stays in doubt, and all that is critical, is put to Whisper's own
encoder with the full window too: a third opinion, in ten times the time.

An open phrase is heard by Whisper, with its own encoder. The reader is blind to words that it was
not trained on, and so are its features: on them Whisper hears "down" as "no" and "left" as "yes",
and is sure of it. So the reader hears no phrase, but it is asked how well the words that Whisper
heard fit the sound, which counts for them and against them: "unable" fits what Whisper alone would
not believe, and "go ahead" does not fit "don't go ahead".

A number that may be of two voices Whisper must also write by itself, with its own encoder and held
to no phrase.

Of the encoder's window only the part that holds sound is computed first, in a twentieth of the
time (`short_window.py`). What is heard so counts where it is beyond doubt, the reader's letters are
there too, and nothing critical hangs on it. Else the whole window is heard, as ever.
"""

import math
from dataclasses import replace

from handsfree.hearing.agreement import says_the_same
from handsfree.hearing.answer import answer
from handsfree.hearing.audio import Audio
from handsfree.hearing.bearing_out import (
    is_lone,
    is_named,
    is_near,
    is_written_freely,
    together,
    with_opinions_of,
)
from handsfree.hearing.ctc import Wording
from handsfree.hearing.meant import (
    is_to_wait,
    is_value,
    moves_nothing,
    would_do_something_else,
)
from handsfree.hearing.reader import Read, Reader
from handsfree.hearing.score import ReadEvidence, fitted_score
from handsfree.hearing.short_window import ShortWindow
from handsfree.hearing.transcriber import Transcriber, WhisperHeard
from handsfree.hearing.trouble import trouble_of
from handsfree.hearing.trouble_as_read import TroubleAsRead
from handsfree.hearing.unexplained import unexplained_s
from handsfree.words.heard import Heard, Opinion, Trouble
from handsfree.words.phrases import PhraseSet

READER = "reader"
SHORT = "whisper-tiny.en-int8 on a short window"

# Of the doubt that Whisper leaves with its own encoder, an agreeing reader leaves a fifth. A
# listener that hears something else leaves a tenth of the belief. Not fitted: the reader was
# trained on the people that the score is fitted on, so among them it agrees too well.
_DOUBT_LEFT = 0.2
_BELIEF_LEFT = 0.1
# Seconds of sound as loud as a soft word where the reader heard none: a word that it did not hear.
_MOST_UNEXPLAINED_S = 0.1
# What is believed less than this is put to Whisper's own encoder too.
_THIRD_OPINION_BELOW = 0.95
# A phrase that the short window hears counts from this score, and where the reader's letters are no
# farther behind its free path, in nats a letter.
_SHORT_FROM = 0.95
_SHORT_FARTHEST_A_LETTER = 1.0


class TwoListeners:
    """A `Recognizer` whose values need two listeners."""

    def __init__(
        self, transcriber: Transcriber, reader: Reader, short: ShortWindow | None = None
    ) -> None:
        """They stay loaded, and so does what tells one voice; or the errors of its opening.

        Without `short`, the whole window is heard for every phrase.
        """
        self._transcriber = transcriber
        self._reader = reader
        self._short = short
        self._as_read = TroubleAsRead()
        self._score = fitted_score()

    def recognize(self, audio: Audio, phrases: PhraseSet) -> Heard:
        """See `Recognizer.recognize`. A value is never believed by the word of one listener.

        From sound that is broken, is not one voice, stops within a word or is too long for the
        reader, nothing is believed however well it seems to be heard; but for what makes the work
        wait, which is shouted, and through other voices.
        """
        read = self._reader.read(audio)
        heard = self._heard(audio, read, phrases)
        strict = phrases.critical or is_value(heard.words, phrases)
        trouble = trouble_of(audio.samples) or self._as_read.of(audio, read, strict=strict)
        if trouble is None:
            return self._borne_out(audio, read, heard, phrases)
        left = 1.0 if is_to_wait(heard.words, phrases) else _BELIEF_LEFT
        return replace(heard, score=left * heard.score, trouble=trouble)

    def make_ready(self, phrases: PhraseSet) -> None:
        """See `MadeReady`: the reader's graph takes a fifth of a second."""
        phrases.parse(("",))
        if phrases.holds_values:
            self._reader.make_ready(phrases)

    def _heard(self, audio: Audio, read: Read | None, phrases: PhraseSet) -> Heard:
        if not phrases.holds_values:
            return self._phrase(audio, read, phrases)
        if read is None:
            return self._transcriber.recognize(audio, phrases)
        wordings = self._reader.wordings(read, phrases)
        if not wordings or not is_value(wordings[0].words, phrases):
            quick = self._beyond_doubt(audio, read, phrases)
            return quick or self._full(audio, read, wordings, phrases)
        quick = self._value(audio, read, wordings)
        # A lone word must be one that Whisper would write by itself, see `is_written_freely`.
        enough = not is_lone(quick.words) or quick.opinions[0].words == quick.words
        if quick.score >= _THIRD_OPINION_BELOW and enough and not phrases.critical:
            return quick
        # Who agrees takes nothing away, though Whisper hardly expects names, units and letters.
        named = is_named(quick.words) and not phrases.critical
        full = self._full(audio, read, wordings, phrases, quick.score if named else 0.0)
        return with_opinions_of(quick, full)

    def _borne_out(
        self, audio: Audio, read: Read | None, heard: Heard, phrases: PhraseSet
    ) -> Heard:
        """`heard`, in doubt where it may be of two voices and Whisper does not write it freely.

        Of two people the listeners hear a number that neither said, but seldom the same one. What
        has names and units is not asked so: Whisper writes them as it likes. No trouble is told,
        for most of what is in doubt here is one voice that is strange to the network.
        """
        if (
            read is None
            or not is_value(heard.words, phrases)
            or is_named(heard.words)
            or self._as_read.is_surely_one_voice(audio, read)
        ):
            return heard
        full = heard
        if heard.opinions[0].listener != self._transcriber.name:
            wordings = self._reader.wordings(read, phrases)
            full = with_opinions_of(heard, self._full(audio, read, wordings, phrases))
        same = phrases.meaning_of(full.words) == phrases.meaning_of(heard.words)
        if same and says_the_same(full.words, full.opinions[0].free_text):
            return full
        return replace(full, score=_BELIEF_LEFT * full.score)

    def evidence(self, audio: Audio, read: Read, heard: Opinion) -> ReadEvidence:
        """What speaks for and against the value that the reader `heard`."""
        encoded = self._transcriber.take_over(read.short_features, audio)
        return ReadEvidence(
            margin=heard.margin,
            behind_free=self._reader.behind_free(read, heard),
            pieces=self._transcriber.asked(encoded, heard.words),
            letters=len(" ".join(heard.words)),
            named=is_named(heard.words),
        )

    def _value(self, audio: Audio, read: Read, wordings: tuple[Wording, ...]) -> Heard:
        """The value that the reader hears, and what Whisper says to it."""
        heard = self._reader.opinion(read, wordings)
        evidence = self.evidence(audio, read, heard)
        score = self._score.probability(evidence)
        near = is_near(evidence.behind_free, heard.words)
        explained = unexplained_s(audio.samples, read.log_probs) <= _MOST_UNEXPLAINED_S
        return Heard(
            words=heard.words,
            score=score if near and explained else _BELIEF_LEFT * score,
            alternatives=tuple(each.words for each in wordings[1:]),
            opinions=(answer(heard.words, evidence.pieces), heard),
            started=audio.started,
            ended=audio.ended,
            trouble=None if explained else Trouble.MORE_SOUND,
        )

    def _phrase(self, audio: Audio, read: Read | None, phrases: PhraseSet) -> Heard:
        quick = None if read is None else self._beyond_doubt(audio, read, phrases)
        if quick is not None:
            return quick
        return self._judged(audio, read, self._whole_window(audio, read, phrases), phrases)

    def _whole_window(self, audio: Audio, read: Read | None, phrases: PhraseSet) -> WhisperHeard:
        """What Whisper makes of the whole window; where no phrase comes to its mind, of one that
        the reader's letters are nearest to.
        """
        proposed = () if read is None else self._reader.likeliest_phrase(read, phrases)
        return self._transcriber.weigh(self._transcriber.encode(audio), phrases, proposed)

    def _beyond_doubt(self, audio: Audio, read: Read, phrases: PhraseSet) -> Heard | None:
        """The phrase that the short window hears and the reader bears out; None: hear it all."""
        if self._short is None or phrases.critical:
            return None
        encoded = self._transcriber.take_over(self._short.features(audio), audio)
        weighed = self._transcriber.weigh_freely(encoded, phrases)
        heard = self._judged(audio, read, weighed, phrases, SHORT)
        if heard.score < _SHORT_FROM or is_value(heard.words, phrases):
            return None
        behind = self._reader.behind_free_a_letter(read, heard.words)
        return heard if behind <= _SHORT_FARTHEST_A_LETTER else None

    def _judged(
        self,
        audio: Audio,
        read: Read | None,
        weighed: WhisperHeard,
        phrases: PhraseSet,
        listener: str | None = None,
    ) -> Heard:
        """What Whisper made of it, and what the reader, where it could hear, says to that."""
        name = listener or self._transcriber.name
        if read is None or not weighed.candidates:
            return self._transcriber.judge(audio, weighed, name)
        behind = self._reader.behind_free_a_letter(read, weighed.candidates[0].words)
        heard = self._transcriber.judge(audio, weighed, name, behind)
        # Held to no phrase: it was asked about words, and has heard none of its own.
        free = self._reader.greedy(read.log_probs)
        asked = Opinion(READER, (), -math.inf, 0.0, free)
        heard = replace(heard, opinions=(*heard.opinions, asked))
        if any(each(heard.words, phrases) for each in (is_value, is_to_wait, moves_nothing)):
            return heard
        others = would_do_something_else(heard.words, phrases)
        or_a_habit = not weighed.is_surely_written
        if not self._reader.may_be_other_words(read, heard.words, others, or_a_habit=or_a_habit):
            return heard
        return replace(heard, score=_BELIEF_LEFT * heard.score, trouble=Trouble.MORE_SOUND)

    def _full(
        self,
        audio: Audio,
        read: Read,
        wordings: tuple[Wording, ...],
        phrases: PhraseSet,
        before: float = 0.0,
    ) -> Heard:
        """What Whisper hears with its own encoder; a value only where the reader hears it too.

        `before` is how far the reader's value was believed: less is not left where they agree.
        """
        weighed = self._whole_window(audio, read, phrases)
        full = self._judged(audio, read, weighed, phrases)
        if not is_value(full.words, phrases):
            return full
        both = together(weighed.candidates, wordings, phrases)
        best = both[0] if both else ()
        heard = self._reader.opinion(read, wordings)
        full = replace(full, opinions=full.opinions[:1])
        same = (
            phrases.meaning_of(best)
            == phrases.meaning_of(full.words)
            == phrases.meaning_of(heard.words)
        )
        explained = unexplained_s(audio.samples, read.log_probs) <= _MOST_UNEXPLAINED_S
        agreed = (
            same
            and is_near(self._reader.behind_free(read, heard), heard.words)
            and explained
            and is_written_freely(best, full.opinions[0].free_text)
        )
        agreed_score = max(before, 1 - _DOUBT_LEFT * (1 - full.score))
        score = agreed_score if agreed else _BELIEF_LEFT * full.score
        opinions = (*full.opinions, heard)
        return replace(
            full,
            words=best,
            score=score,
            alternatives=both[1:],
            opinions=opinions,
            trouble=None if explained else Trouble.MORE_SOUND,
        )
