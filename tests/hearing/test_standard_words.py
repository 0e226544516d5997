"""Each standard and plain word on sound, by one quick voice: none is taken for another.

The voice is the built-in one, on which nothing was tuned. How well more and stranger voices are
understood is measured by `tests/benchmarks/by_word.py`.
"""

from datetime import timedelta

import numpy as np
import pytest

from handsfree.hearing.audio import SAMPLE_RATE, Audio
from handsfree.hearing.recognizer import Recognizer
from handsfree.speaking.voice import Voice
from tests.benchmarks.vocabulary import ASKED_AGAIN, UNDERSTOOD, Entry, vocabulary

# Those on which safety hangs must be understood; the others may be asked for again by such a voice.
_SAFETY = ("standard word", "stop")
_OTHERS = ("plain word", "say again", "stand by")
ENTRIES = vocabulary()
SAFETY = [each for each in ENTRIES if each.kind in _SAFETY]
OTHERS = [each for each in ENTRIES if each.kind in _OTHERS]
_SILENCE = np.zeros(round(0.3 * SAMPLE_RATE), np.float32)


def result(entry: Entry, recognizer: Recognizer, voice: Voice) -> str:
    said = voice.render(entry.words).astype(np.float32) / np.float32(32768)
    audio = Audio(np.concatenate([_SILENCE, said, _SILENCE]), timedelta(0))
    return entry.result(recognizer.recognize(audio, entry.phrases))


@pytest.mark.slow
@pytest.mark.parametrize("entry", SAFETY, ids=[each.words for each in SAFETY])
def test_a_standard_word_is_understood(entry: Entry, recognizer: Recognizer, voice: Voice) -> None:
    assert result(entry, recognizer, voice) == UNDERSTOOD


@pytest.mark.slow
@pytest.mark.parametrize("entry", OTHERS, ids=[each.words for each in OTHERS])
def test_a_plain_word_is_taken_for_no_other(
    entry: Entry, recognizer: Recognizer, voice: Voice
) -> None:
    assert result(entry, recognizer, voice) in (UNDERSTOOD, ASKED_AGAIN)
