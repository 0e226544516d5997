"""The embedded listener on real recordings, and on sound that is no speech."""

import random
from datetime import timedelta
from pathlib import Path

import numpy as np
import pytest

from handsfree.engine.trust import VALUE_AT
from handsfree.hearing.agreement import says_the_same
from handsfree.hearing.audio import SAMPLE_RATE, Audio
from handsfree.hearing.clips import read_clip
from handsfree.hearing.transcriber import Transcriber, WhisperHeard
from handsfree.hearing.weighing import Candidate
from handsfree.words.heard import Heard
from handsfree.words.phrases import BUILT_IN, Confirmation, PhraseSet, Standard
from handsfree.words.standard import StandardWord
from tests.benchmarks.situations import CONFIRMING, NUMBER, TASK
from tests.benchmarks.speech import Clip, audio_of

UNLIKE = PhraseSet((Confirmation("pin fitted"), Standard(StandardWord.DISREGARD)))
_SEED = 7
_READINGS = 14
_OTHERS = 6


def test_two_nine_three_four_zero(transcriber: Transcriber, outside_speech: Path) -> None:
    """TIDIGITS, as carried by pocketsphinx: dhd.2934z is "two nine three four zero"."""
    audio = read_clip(outside_speech / "tidigits" / "dhd.2934z.raw", timedelta(seconds=9))
    heard = transcriber.recognize(audio, BUILT_IN["number"])
    assert heard.words == ("two", "nine", "three", "four", "zero")
    assert heard.score >= VALUE_AT
    assert (heard.started, heard.ended) == (audio.started, audio.ended)
    assert heard.opinions[0].words == heard.words
    assert heard.words not in heard.alternatives


@pytest.mark.slow
def test_the_number_card_is_a_number_and_the_others_are_not(
    transcriber: Transcriber, outside_speech: Path
) -> None:
    """Of the five recordings of playing cards one says a plain number, "five five"."""
    accepted = {}
    for clip in sorted((outside_speech / "cards").glob("*.wav")):
        heard = transcriber.recognize(read_clip(clip), BUILT_IN["number"])
        if heard.score >= VALUE_AT:
            accepted[clip.stem] = heard.words
    assert accepted == {"004": ("five", "five")}


def test_where_no_phrase_comes_to_mind_a_proposed_one_is_weighed(
    transcriber: Transcriber, outside_speech: Path
) -> None:
    """ "Two nine three four zero" is none of the phrases, and does not become the proposed one."""
    audio = read_clip(outside_speech / "tidigits" / "dhd.2934z.raw")
    encoded, proposed = transcriber.encode(audio), ("pin", "fitted")
    weighed = transcriber.weigh(encoded, UNLIKE, proposed)
    assert transcriber.weigh(encoded, UNLIKE).candidates == ()
    assert [each.words for each in weighed.candidates] == [proposed]
    assert transcriber.judge(audio, weighed, "whisper").score < 0.01


def test_where_a_phrase_comes_to_mind_what_is_proposed_counts_for_nothing(
    transcriber: Transcriber, outside_speech: Path
) -> None:
    encoded = transcriber.encode(read_clip(outside_speech / "tidigits" / "dhd.2934z.raw"))
    number = BUILT_IN["number"]
    assert transcriber.weigh(encoded, number, ("pin",)) == transcriber.weigh(encoded, number)


@pytest.mark.parametrize(
    ("free_text", "support", "pieces", "surely"),
    [
        ("Pin fitted.", -0.4, (-0.1, -0.5, -0.1), True),
        ("Pin is fitted.", -0.4, (-0.1, -0.5, -0.1), False),  # other words
        ("Pin fitted.", -0.6, (-0.1, -0.5, -0.1), False),  # other texts besides
        ("Pin fitted.", -0.4, (-0.1, -0.6, -0.1), False),  # other pieces besides
    ],
)
def test_what_is_surely_written_is_written_and_hardly_anything_besides(
    free_text: str, support: float, pieces: tuple[float, ...], surely: bool
) -> None:
    best = Candidate(("pin", "fitted"), -0.1, support)
    assert WhisperHeard((best,), free_text, pieces).is_surely_written is surely


def test_what_is_not_heard_is_not_surely_written() -> None:
    assert not WhisperHeard((), "Pin fitted.", ()).is_surely_written


@pytest.mark.slow
def test_most_readings_are_heard_and_nearly_none_is_wrong_unasked(
    transcriber: Transcriber, an4: tuple[Clip, ...]
) -> None:
    readings = [clip for clip in an4 if clip.kind == "reading"]
    right = wrong_unasked = 0
    for clip in random.Random(_SEED).sample(readings, _READINGS):
        heard = transcriber.recognize(audio_of(clip), NUMBER)
        is_right = says_the_same(heard.words, " ".join(clip.words))
        right += is_right
        wrong_unasked += heard.score >= VALUE_AT and not is_right
    assert right >= _READINGS - 1
    assert wrong_unasked == 0


@pytest.mark.slow
@pytest.mark.parametrize("phrases", [NUMBER, TASK, CONFIRMING], ids=["number", "task", "words"])
def test_other_speech_is_not_bent_into_a_phrase(
    transcriber: Transcriber, an4: tuple[Clip, ...], phrases: PhraseSet
) -> None:
    other = [clip for clip in an4 if clip.kind == "other"]
    heard = [
        transcriber.recognize(audio_of(clip), phrases)
        for clip in random.Random(_SEED).sample(other, _OTHERS)
    ]
    assert [each for each in heard if each.score >= VALUE_AT] == []


def sounds() -> dict[str, np.ndarray]:
    noise = np.random.default_rng(_SEED).standard_normal(SAMPLE_RATE)
    return {
        "nothing at all": np.zeros(0),
        "a twentieth of a second": 0.1 * noise[: SAMPLE_RATE // 20],
        "silence": np.zeros(SAMPLE_RATE),
        "a constant": np.full(SAMPLE_RATE, 0.5),
        "clipping": np.sign(noise),
        "no numbers": np.full(SAMPLE_RATE, np.nan),
        "noise": 0.1 * noise,
    }


@pytest.mark.parametrize("name", list(sounds()))
def test_sound_without_speech_is_answered_with_a_low_score(
    transcriber: Transcriber, name: str
) -> None:
    heard = transcriber.recognize(Audio(sounds()[name].astype("f4"), timedelta(0)), TASK)
    assert isinstance(heard, Heard)
    assert heard.score < 0.5
