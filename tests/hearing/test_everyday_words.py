"""Everyday words on sound: one quick voice says them, and none of them does anything.

The voice is the built-in one, which is no measure of how well people are understood; that is
measured by `tests/benchmarks/everyday.py`. It can show what must never happen.
"""

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from handsfree.engine.advance import advance
from handsfree.engine.phrases_now import phrases_now
from handsfree.hearing.audio import Audio
from handsfree.hearing.recognizer import Recognizer
from handsfree.speaking.voice import Voice
from tests.benchmarks.speech import mixed, pink_noise
from tests.engine.conversation import TO_PRESSURE, Conversation

NOTHING = ("yes", "okay", "not affirm", "don't go ahead", "about three thousand")
_NOISE_DB = 10


@pytest.mark.parametrize("words", NOTHING)
def test_what_means_nothing_moves_nothing_by_voice(
    words: str, recognizer: Recognizer, voice: Voice
) -> None:
    samples = voice.render(words).astype(np.float32) / np.float32(32768)
    noisy = mixed(samples, pink_noise(len(samples), seed=len(words)), _NOISE_DB)
    run = Conversation().start().say(*TO_PRESSURE, "three thousand")
    phrases = phrases_now(run.task, run.state)
    heard = recognizer.recognize(Audio(noisy, timedelta(0)), phrases)
    after, _ = advance(run.task, run.state, replace(heard, channel=1))
    assert after.progress == run.state.progress, heard
    assert after.pending in (run.state.pending, None), heard
