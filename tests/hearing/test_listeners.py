"""Two listeners: a number needs both, an open phrase is heard by Whisper and put to the reader."""

from collections.abc import Sequence
from datetime import timedelta
from pathlib import Path

import numpy as np
import pytest
import soxr

from demo.people import voice_line
from demo.script import Line
from handsfree.engine.trust import PHRASE_AT, STOP_AT, VALUE_AT
from handsfree.hearing.agreement import says_the_same
from handsfree.hearing.answer import QUICK
from handsfree.hearing.audio import Audio
from handsfree.hearing.broken_off import BrokenOff
from handsfree.hearing.clips import read_clip
from handsfree.hearing.listeners import READER, TwoListeners
from handsfree.hearing.one_voice import OneVoice
from handsfree.hearing.opening import open_reader
from handsfree.hearing.reader import Read, Reader
from handsfree.hearing.score import ReadEvidence, Score
from handsfree.hearing.transcriber import Transcriber, WhisperHeard
from handsfree.task.roles import Headset
from handsfree.words.heard import Heard, Opinion, Trouble
from handsfree.words.phrases import (
    BUILT_IN,
    CasualWords,
    Confirmation,
    Negations,
    Order,
    PhraseSet,
    Reading,
    Seconded,
    Standard,
    Taken,
)
from handsfree.words.plain import PlainWord
from handsfree.words.standard import StandardWord
from tests.benchmarks.speech import single_words, speech_folder

NUMBER = BUILT_IN["number"]
PRESSURE = PhraseSet((Reading(("pressure",), "psi"), Confirmation("pin fitted")))
READ_BACK = PhraseSet((*PRESSURE.phrases, Seconded(Reading(("pressure",), "psi"))))


@pytest.fixture(scope="module")
def listeners(transcriber: Transcriber, reader: Reader) -> TwoListeners:
    return TwoListeners(transcriber, reader)


def sound(samples: Sequence[float] | np.ndarray) -> Audio:
    return Audio(np.asarray(samples, dtype=np.float32), timedelta(0))


def test_two_nine_three_four_zero_is_heard_by_both(
    listeners: TwoListeners, outside_speech: Path
) -> None:
    """TIDIGITS, as carried by pocketsphinx: dhd.2934z is "two nine three four zero"."""
    audio = read_clip(outside_speech / "tidigits" / "dhd.2934z.raw")
    heard = listeners.recognize(audio, NUMBER)
    assert heard.words == ("two", "nine", "three", "four", "zero")
    assert heard.score >= VALUE_AT
    assert {each.listener: each.words for each in heard.opinions} == {
        QUICK: heard.words,
        READER: heard.words,
    }


def test_the_reader_alone_scores_the_wording_and_the_next_meaning(
    reader: Reader, outside_speech: Path
) -> None:
    read = reader.read(read_clip(outside_speech / "tidigits" / "dhd.2934z.raw"))
    assert read is not None
    opinion = reader.opinion(read, reader.wordings(read, NUMBER))
    assert opinion.words == ("two", "nine", "three", "four", "zero")
    assert opinion.margin > 3
    assert reader.behind_free(read, opinion) < 1


def test_a_number_on_which_the_two_disagree_is_not_believed(
    transcriber: Transcriber,
    reader: Reader,
    outside_speech: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    audio = read_clip(outside_speech / "tidigits" / "dhd.2934z.raw")
    other = reader.read(read_clip(outside_speech / "cards" / "004.wav"))
    own = reader.read(audio)
    assert own is not None
    assert other is not None
    # The reader is made to hear the numbers of another clip.
    mixed = Read(own.features, other.log_probs)
    monkeypatch.setattr(reader, "read", lambda _: mixed)
    heard = TwoListeners(transcriber, reader).recognize(audio, NUMBER)
    assert heard.score < 0.5


@pytest.mark.parametrize("critical", [False, True])
def test_a_number_that_the_reader_hears_far_behind_its_free_path_is_not_believed(
    transcriber: Transcriber,
    reader: Reader,
    outside_speech: Path,
    monkeypatch: pytest.MonkeyPatch,
    critical: bool,
) -> None:
    """A sound that is likelier as anything else than as a phrase: both listeners bend it."""
    audio = read_clip(outside_speech / "tidigits" / "dhd.2934z.raw")
    phrases = PhraseSet(NUMBER.phrases, critical=critical)
    listeners = TwoListeners(transcriber, reader)
    assert listeners.recognize(audio, phrases).score >= VALUE_AT
    monkeypatch.setattr(reader, "behind_free", lambda *_: 4.0)  # nats: 50 times less likely
    assert listeners.recognize(audio, phrases).score < 0.5


@pytest.mark.slow
def test_a_named_number_far_behind_the_free_path_is_not_believed(
    transcriber: Transcriber,
    reader: Reader,
    second_person: Audio,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Names are behind in any voice, so only what is far behind for its length is refused."""
    letters = len("second pressure two niner six zero")
    listeners = TwoListeners(transcriber, reader)
    monkeypatch.setattr(reader, "behind_free", lambda *_: 1.2 * letters)
    assert listeners.recognize(second_person, READ_BACK).score < 0.5


@pytest.fixture(scope="module")
def second_person() -> Audio:
    """The demo's second person, synthetic: no recording says "second" before a number."""
    pytest.importorskip("piper", reason="the demo's voice is not installed (extra natural-voice)")
    return sound(voice_line(Line(Headset.SECOND_PERSON, "second pressure two niner six zero")))


def test_what_a_second_person_states_is_heard_by_both(
    listeners: TwoListeners, second_person: Audio
) -> None:
    heard = listeners.recognize(second_person, READ_BACK)
    assert " ".join(heard.words) == "second pressure two niner six zero"
    assert heard.score >= VALUE_AT
    assert READER in {each.listener for each in heard.opinions}


def test_what_a_second_person_states_is_not_believed_by_the_word_of_one_listener(
    transcriber: Transcriber,
    reader: Reader,
    second_person: Audio,
    outside_speech: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    other, own = (
        reader.read(each)
        for each in (read_clip(outside_speech / "cards" / "004.wav"), second_person)
    )
    assert own is not None
    assert other is not None
    monkeypatch.setattr(reader, "read", lambda _: Read(own.features, other.log_probs))
    mixed = TwoListeners(transcriber, reader).recognize(second_person, READ_BACK)
    assert mixed.score < 0.5
    monkeypatch.setattr(reader, "read", lambda _: None)
    alone = TwoListeners(transcriber, reader).recognize(second_person, READ_BACK)
    assert " ".join(alone.words) == "second pressure two niner six zero"
    assert alone.score < 0.5


def test_a_number_too_long_for_the_reader_is_not_believed(
    listeners: TwoListeners, outside_speech: Path
) -> None:
    """Whisper takes in 30 s, the reader 10 s: one listener is not enough for a value."""
    spoken = read_clip(outside_speech / "tidigits" / "dhd.2934z.raw").samples
    late = np.concatenate([np.zeros(9 * 16_000, np.float32), spoken])
    heard = listeners.recognize(sound(late), NUMBER)
    assert heard.words == ("two", "nine", "three", "four", "zero")
    assert heard.score < 0.5
    assert heard.trouble is Trouble.TOO_LONG


@pytest.mark.slow
def test_what_is_too_long_for_the_reader_is_not_believed_but_for_what_stops_the_work(
    listeners: TwoListeners,
) -> None:
    """Nobody asks the reader there whether it is one voice, or whether a "not" stands in front."""
    pytest.importorskip("piper", reason="the demo's voice is not installed (extra natural-voice)")
    phrases = PhraseSet((Order(PlainWord.STOP), Confirmation("go ahead")))
    stop, confirmed = (voice_line(Line(Headset.TECHNICIAN, each)) for each in ("stop", "go ahead"))
    for spoken, is_believed in ((stop, True), (confirmed, False)):
        soon = listeners.recognize(sound(spoken), phrases)
        late = np.concatenate([np.zeros(10 * 16_000 - len(spoken), np.float32), spoken])
        heard = listeners.recognize(sound(late), phrases)
        assert heard.words == soon.words
        assert soon.score >= PHRASE_AT
        assert (heard.score >= STOP_AT) is is_believed
        assert (soon.trouble, heard.trouble) == (None, Trouble.TOO_LONG)


@pytest.mark.slow
def test_an_open_phrase_is_heard_by_whisper_and_only_put_to_the_reader(
    listeners: TwoListeners, transcriber: Transcriber
) -> None:
    """The reader hears "down" as "no" with full confidence, so no open words are its own."""
    try:
        clips = [clip for clip in single_words() if clip.words == ("yes",)]
    except FileNotFoundError:
        pytest.skip(f"no single words in {speech_folder()}; HANDSFREE_SPEECH names another folder")
    phrases = PhraseSet((Reading(("pressure",), "psi"), Confirmation("yes")))
    heard = [listeners.recognize(read_clip(clip.path), phrases) for clip in clips[:4]]
    confirmed = [each for each in heard if each.words == ("yes",)]
    assert confirmed
    for each in confirmed:
        assert {opinion.listener: opinion.words for opinion in each.opinions} == {
            transcriber.name: ("yes",),
            READER: (),
        }


@pytest.mark.slow
def test_where_no_phrase_comes_to_whispers_mind_the_readers_nearest_one_is_asked_about(
    listeners: TwoListeners, transcriber: Transcriber, monkeypatch: pytest.MonkeyPatch
) -> None:
    """And is believed where it fits the sound. It is not, where something else was said."""
    pytest.importorskip("piper", reason="the demo's voice is not installed (extra natural-voice)")
    phrases = PhraseSet((Confirmation("go ahead"), Confirmation("tool serviceable")))
    said, unlike = (
        sound(voice_line(Line(Headset.TECHNICIAN, each))) for each in ("go ahead", "the pump runs")
    )
    monkeypatch.setattr("handsfree.hearing.transcriber.weigh", lambda *_: ())
    assert listeners.recognize(said, phrases).words == ("go", "ahead")
    assert listeners.recognize(said, phrases).score >= PHRASE_AT
    assert listeners.recognize(unlike, phrases).score < 0.1
    assert transcriber.recognize(said, phrases).words == ()


@pytest.mark.slow
def test_a_phrase_is_believed_less_where_it_does_not_fit_the_reader(
    listeners: TwoListeners, reader: Reader, monkeypatch: pytest.MonkeyPatch
) -> None:
    try:
        clip = next(clip for clip in single_words() if clip.words == ("yes",))
    except FileNotFoundError:
        pytest.skip(f"no single words in {speech_folder()}; HANDSFREE_SPEECH names another folder")
    scores = []
    for nats_a_letter in (0.0, 4.0):
        monkeypatch.setattr(reader, "behind_free_a_letter", lambda *_, far=nats_a_letter: far)
        heard = listeners.recognize(read_clip(clip.path), PhraseSet((Confirmation("yes"),)))
        assert heard.words == ("yes",)
        scores.append(heard.score)
    assert scores[0] > 0.99
    assert 1 - scores[1] > 10 * (1 - scores[0])


def test_a_number_with_a_soft_word_that_nobody_heard_is_not_believed(
    transcriber: Transcriber,
    reader: Reader,
    outside_speech: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The sound goes on where the reader wrote nothing: a word was left out."""
    spoken = read_clip(outside_speech / "tidigits" / "dhd.2934z.raw").samples
    listeners = TwoListeners(transcriber, reader)
    assert listeners.recognize(sound(spoken), NUMBER).score >= VALUE_AT
    read = reader.read(sound(spoken))
    assert read is not None
    loudest = int(np.abs(spoken).argmax())
    word = spoken[loudest - 2_000 : loudest + 6_000] * np.float32(0.3)
    more = np.concatenate([spoken, np.zeros(4_000, np.float32), word])
    quiet = np.full((60, read.log_probs.shape[1]), -30.0)
    quiet[:, 0] = 0.0
    lost = Read(read.features, np.concatenate([read.log_probs, quiet]))
    monkeypatch.setattr(reader, "read", lambda _: lost)
    doubted = listeners.recognize(sound(more), NUMBER)
    assert doubted.score < 0.5
    assert doubted.trouble is Trouble.MORE_SOUND


def test_a_number_that_is_clipped_at_every_peak_is_not_believed_and_the_reason_is_told(
    listeners: TwoListeners, outside_speech: Path
) -> None:
    spoken = read_clip(outside_speech / "tidigits" / "dhd.2934z.raw").samples
    clipped = np.clip(spoken / np.quantile(np.abs(spoken), 0.9), -1, 1)
    heard = listeners.recognize(sound(clipped), NUMBER)
    assert heard.trouble is Trouble.TOO_LOUD
    assert heard.score < 0.5


def test_a_number_at_twice_its_rate_is_not_believed_and_the_reason_is_told(
    listeners: TwoListeners, outside_speech: Path
) -> None:
    spoken = read_clip(outside_speech / "tidigits" / "dhd.2934z.raw").samples
    heard = listeners.recognize(sound(soxr.resample(spoken, 2.0, 1.0)), NUMBER)
    assert heard.trouble is Trouble.TOO_FAST
    assert heard.score < 0.5


def stop_and_go_ahead() -> tuple[PhraseSet, Audio, Audio]:
    """Both are valid, and said by the demo's voice."""
    pytest.importorskip("piper", reason="the demo's voice is not installed (extra natural-voice)")
    phrases = PhraseSet((Order(PlainWord.STOP), Confirmation("go ahead")))
    stop, confirmed = (
        sound(voice_line(Line(Headset.TECHNICIAN, words))) for words in ("stop", "go ahead")
    )
    return phrases, stop, confirmed


@pytest.mark.slow
def test_what_stops_the_work_is_believed_through_another_voice_and_other_words_are_not(
    listeners: TwoListeners, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Who shouts "stop" is not asked to say it again because somebody else speaks too."""
    phrases, stop, confirmed = stop_and_go_ahead()
    before = [listeners.recognize(each, phrases) for each in (stop, confirmed)]
    assert [" ".join(each.words) for each in before] == ["stop", "go ahead"]
    monkeypatch.setattr(OneVoice, "trouble_in", lambda *_, **__: Trouble.TWO_VOICES)
    through = [listeners.recognize(each, phrases) for each in (stop, confirmed)]
    assert through[0].score == before[0].score
    assert through[1].score == pytest.approx(0.1 * before[1].score)
    assert [each.trouble for each in through] == [Trouble.TWO_VOICES] * 2


@pytest.mark.slow
def test_a_phrase_that_may_be_another_is_not_believed_and_the_reason_is_told(
    listeners: TwoListeners, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Noise swallows the "not" of "not pin fitted"; what is left of it is seen by the reader."""
    phrases, stop, confirmed = stop_and_go_ahead()
    before = [listeners.recognize(each, phrases) for each in (stop, confirmed)]
    monkeypatch.setattr(Reader, "may_be_other_words", lambda *_, **__: True)
    after = [listeners.recognize(each, phrases) for each in (stop, confirmed)]
    assert after[0].score == before[0].score
    assert after[1].score <= 0.1
    assert after[1].trouble is Trouble.MORE_SOUND


@pytest.mark.parametrize("surely", [True, False])
def test_no_habit_is_looked_for_where_whisper_would_surely_write_the_phrase(
    listeners: TwoListeners, monkeypatch: pytest.MonkeyPatch, surely: bool
) -> None:
    """The letters of "go ahead" can be "god", which fits "good". A "not" is always looked for."""
    phrases, _, confirmed = stop_and_go_ahead()
    asked: list[bool] = []

    def may_be(_: Reader, __: Read, words: tuple[str, ...], others: object, **how: bool) -> bool:
        assert (words, others) == (("go", "ahead"), ())  # but to stop, which is harmless
        asked.append(how["or_a_habit"])
        return True

    monkeypatch.setattr(Reader, "may_be_other_words", may_be)
    monkeypatch.setattr(WhisperHeard, "is_surely_written", surely)
    assert listeners.recognize(confirmed, phrases).trouble is Trouble.MORE_SOUND
    assert set(asked) == {not surely}


@pytest.mark.slow
def test_what_is_never_acted_on_need_not_be_doubted(
    listeners: TwoListeners, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is answered with what can be said in its place."""
    pytest.importorskip("piper", reason="the demo's voice is not installed (extra natural-voice)")
    monkeypatch.setattr(Reader, "may_be_other_words", lambda *_, **__: True)
    harmless = (CasualWords(), Negations(("go ahead",)), Taken(), Standard(StandardWord.SAY_AGAIN))
    phrases = PhraseSet((Confirmation("go ahead"), *harmless))
    for words in ("okay", "not go ahead", "scratch that", "say again"):
        heard = listeners.recognize(sound(voice_line(Line(Headset.TECHNICIAN, words))), phrases)
        assert " ".join(heard.words) == words
        assert heard.trouble is None


@pytest.mark.slow
@pytest.mark.parametrize(
    ("words", "critical", "strict"),
    [
        ("two niner", False, True),
        ("pin fitted", False, False),
        ("pin fitted", True, True),
    ],
)
def test_values_and_critical_phrases_are_held_more_strictly_to_one_voice(
    listeners: TwoListeners,
    monkeypatch: pytest.MonkeyPatch,
    words: str,
    critical: bool,
    strict: bool,
) -> None:
    phrases = PhraseSet(
        (Reading(("pressure",), "psi"), Confirmation("pin fitted")), critical=critical
    )
    asked: list[bool] = []
    heard = Heard(tuple(words.split()), 1.0, (), (), timedelta(0), timedelta(0))
    monkeypatch.setattr(listeners, "_heard", lambda *_: heard)
    monkeypatch.setattr(OneVoice, "trouble_in", lambda *_, strict: asked.append(strict))
    listeners.recognize(sound(np.zeros(32_000, np.float32)), phrases)
    assert asked == [strict]


@pytest.mark.parametrize(
    ("words", "critical", "trouble"),
    [
        ("two niner", False, Trouble.BROKEN_OFF),
        ("pin fitted", True, Trouble.BROKEN_OFF),
        ("pin fitted", False, None),
        ("stop", True, Trouble.BROKEN_OFF),
    ],
)
def test_from_sound_that_stops_within_a_word_no_value_and_nothing_critical_is_believed(
    listeners: TwoListeners,
    monkeypatch: pytest.MonkeyPatch,
    words: str,
    critical: bool,
    trouble: Trouble | None,
) -> None:
    phrases = PhraseSet(
        (Reading(("pressure",), "psi"), Confirmation("pin fitted"), Order(PlainWord.STOP)),
        critical=critical,
    )
    heard = Heard(tuple(words.split()), 1.0, (), (), timedelta(0), timedelta(0))
    monkeypatch.setattr(listeners, "_heard", lambda *_: heard)
    monkeypatch.setattr(BrokenOff, "is_broken_off", lambda *_: True)
    told = listeners.recognize(sound(np.zeros(32_000, np.float32)), phrases)
    assert told.trouble is trouble
    assert (told.score <= 0.1) == (trouble is not None and words != "stop")


@pytest.mark.slow
def test_a_lone_word_that_whisper_writes_as_another_one_is_no_figure(
    listeners: TwoListeners,
) -> None:
    """Both hear "on" as one, "right" as fife and "wow" as twelve where only numbers may be said."""
    said = {("on",), ("right",), ("wow",)}
    try:
        clips = [clip for clip in single_words() if clip.words in said]
    except FileNotFoundError:
        pytest.skip(f"no single words in {speech_folder()}; HANDSFREE_SPEECH names another folder")
    heard = [listeners.recognize(read_clip(clip.path), NUMBER) for clip in clips]
    unwritten = [
        each
        for each in heard
        if each.opinions and not says_the_same(each.words, each.opinions[0].free_text)
    ]
    assert unwritten
    assert all(each.score < VALUE_AT for each in unwritten)


def written_by_whisper(words: str, free_text: str) -> Heard:
    """A value that the reader hears too, and what Whisper writes of it, held to no phrase."""
    said = tuple(words.split())
    own = Opinion("whisper-tiny.en-int8", said, -0.1, 5.0, free_text)
    return Heard(said, 0.99, (), (own,), timedelta(0), timedelta(0))


@pytest.mark.parametrize(
    ("unsure", "free_text", "is_believed"),
    [
        (True, "2 9 3 4 0.", True),
        (True, "2 9 5 3 4 0.", False),
        (False, "2 9 5 3 4 0.", True),  # nobody is asked
    ],
)
def test_a_number_that_may_be_of_two_voices_is_believed_where_whisper_writes_it_freely(
    listeners: TwoListeners,
    outside_speech: Path,
    monkeypatch: pytest.MonkeyPatch,
    unsure: bool,
    free_text: str,
    is_believed: bool,
) -> None:
    audio = read_clip(outside_speech / "tidigits" / "dhd.2934z.raw")
    full = written_by_whisper("two nine three four zero", free_text)
    monkeypatch.setattr(OneVoice, "is_unsure", lambda *_: unsure)
    monkeypatch.setattr(listeners, "_full", lambda *_: full)
    heard = listeners.recognize(audio, NUMBER)
    assert heard.words == full.words
    assert (heard.score >= VALUE_AT) is is_believed


def test_another_number_than_the_one_that_was_heard_bears_nothing_out(
    listeners: TwoListeners, outside_speech: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    audio = read_clip(outside_speech / "tidigits" / "dhd.2934z.raw")
    monkeypatch.setattr(OneVoice, "is_unsure", lambda *_: True)
    monkeypatch.setattr(listeners, "_full", lambda *_: written_by_whisper("two nine", "2 9"))
    assert listeners.recognize(audio, NUMBER).score < 0.5


def test_a_name_with_a_number_need_not_be_written_freely(
    listeners: TwoListeners, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whisper writes "thermometer" as it likes, of one voice as of two."""
    named = written_by_whisper("pressure two niner", "Pressure to nine or.")
    monkeypatch.setattr(OneVoice, "is_unsure", lambda *_: True)
    monkeypatch.setattr(listeners, "_heard", lambda *_: named)
    assert listeners.recognize(sound(np.zeros(32_000)), PRESSURE) == named


@pytest.mark.slow
def test_what_is_critical_is_put_to_whispers_own_encoder_too(
    listeners: TwoListeners, transcriber: Transcriber, outside_speech: Path
) -> None:
    audio = read_clip(outside_speech / "tidigits" / "dhd.2934z.raw")
    quick = listeners.recognize(audio, NUMBER)
    heard = listeners.recognize(audio, PhraseSet(NUMBER.phrases, critical=True))
    assert {each.listener for each in quick.opinions} == {READER, QUICK}
    assert {each.listener for each in heard.opinions} == {READER, QUICK, transcriber.name}
    assert heard.words == quick.words
    assert heard.score >= VALUE_AT


@pytest.mark.slow
@pytest.mark.parametrize(
    ("words", "critical", "score"),
    [
        ("pressure two niner six zero", False, 0.93),
        ("pressure two niner six zero", True, 0.84),
        ("two niner six zero", False, 0.84),
    ],
)
def test_who_agrees_with_a_named_value_takes_nothing_away(
    listeners: TwoListeners,
    monkeypatch: pytest.MonkeyPatch,
    words: str,
    critical: bool,
    score: float,
) -> None:
    """Of figures alone, and where a mistake can hurt, the third opinion counts as it is."""
    pytest.importorskip("piper", reason="the demo's voice is not installed (extra natural-voice)")
    spoken = sound(voice_line(Line(Headset.SECOND_PERSON, words)))
    phrases = PhraseSet(PRESSURE.phrases, critical=critical)

    def probability(_: Score, evidence: object) -> float:
        return 0.93 if isinstance(evidence, ReadEvidence) else 0.2

    monkeypatch.setattr(Score, "probability", probability)
    assert listeners.recognize(spoken, phrases).score == pytest.approx(score)


@pytest.mark.slow
def test_a_value_that_only_one_encoder_hears_is_not_believed(
    listeners: TwoListeners, outside_speech: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On the reader's features Whisper shares the reader's mistakes: its own encoder may veto."""
    audio = read_clip(outside_speech / "tidigits" / "dhd.2934z.raw")
    other = read_clip(outside_speech / "cards" / "004.wav")
    transcriber = Transcriber()
    encode = transcriber.encode
    monkeypatch.setattr(transcriber, "encode", lambda _: encode(other))
    vetoed = TwoListeners(transcriber, open_reader())
    heard = vetoed.recognize(audio, PhraseSet(NUMBER.phrases, critical=True))
    assert heard.score < 0.5


@pytest.mark.slow
@pytest.mark.parametrize(
    "samples",
    [
        np.zeros(1_600),
        np.zeros(16_000),
        np.full(16_000, 0.4),
        np.sign(np.sin(np.arange(16_000) / 7)),
        np.random.default_rng(1).normal(scale=0.1, size=60 * 16_000),
    ],
    ids=["a tenth of a second", "silence", "offset", "clipped", "a minute"],
)
def test_what_is_no_speech_scores_low(listeners: TwoListeners, samples: np.ndarray) -> None:
    assert listeners.recognize(sound(samples), PRESSURE).score < 0.5
