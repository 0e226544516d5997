"""Somebody stops in the middle, or never stops: by the demo's voice, with the real listeners."""

from dataclasses import replace
from decimal import Decimal

import numpy as np
import pytest

from demo.noise import RATE_HZ, hangar_noise, mix_at_snr
from demo.people import voice_line
from demo.script import Line
from handsfree.hearing.audio import Samples
from handsfree.hearing.live.endpoint import Rules
from handsfree.hearing.live.waits import WAITS
from handsfree.hearing.opening import open_recognizer
from handsfree.hearing.recognizer import Recognizer
from handsfree.record.marks import NotHeard
from handsfree.running.live_ear import LiveEar
from handsfree.running.parts import Utterance
from handsfree.task.roles import Headset
from handsfree.words.awaited import Scale
from handsfree.words.heard import EndRule, Trouble
from handsfree.words.phrases import Confirmation, PhraseSet, Reading
from tests.benchmarks.live.ears import Once, ear_at_once
from tests.engine.conversation import TO_PRESSURE, at

pytestmark = pytest.mark.slow
pytest.importorskip("piper", reason="the demo's voice is not installed (extra natural-voice)")

GAUGE = PhraseSet(
    (Reading(("pressure",), "psi"), Confirmation("pin fitted")),
    awaited=Scale.around(Decimal(10), Decimal(2800), Decimal(3200)),
)
SILENCE_S = 5.0


@pytest.fixture(scope="module")
def recognizer() -> Recognizer:
    return open_recognizer()


def said(words: str) -> Samples:
    return voice_line(Line(Headset.TECHNICIAN, words))


def ear_on(sound: Samples, recognizer: Recognizer) -> LiveEar:
    quiet = np.zeros(round(SILENCE_S * RATE_HZ), np.float32)
    whole = np.concatenate([quiet[:RATE_HZ], sound, quiet])
    noise = hangar_noise(len(whole) / RATE_HZ, np.random.default_rng(1))[: len(whole)]
    noisy = np.asarray(mix_at_snr(whole, noise, 20.0), np.float32)
    return ear_at_once(Once(noisy), recognizer, Rules(), WAITS)


@pytest.mark.parametrize("words", ["pressure two niner", "two niner", "pressure"])
def test_who_stops_in_the_middle_is_asked_for_all_of_it_and_nothing_is_believed(
    recognizer: Recognizer, words: str
) -> None:
    reached = ear_on(said(words), recognizer).hear(GAUGE)
    assert isinstance(reached, Utterance)
    assert reached.heard.ended_by is not None
    assert reached.heard.ended_by.rule is EndRule.NOT_ALL
    run = at(*TO_PRESSURE)
    run.send(replace(reached.heard, started=run.state.now, ended=run.state.now))
    run.finish_speaking()
    assert run.answer == "Say all of it, with its unit."
    assert run.state.pending is None


def test_a_voice_that_never_pauses_is_told_of_after_15_s(recognizer: Recognizer) -> None:
    one = np.tile(np.concatenate([said("two niner six zero"), said("pin fitted")]), 10)
    babble = sum(np.roll(one, at * 7001) for at in range(6))
    ear = ear_on(np.asarray(babble, np.float32)[: 20 * RATE_HZ] * np.float32(0.2), recognizer)
    told, asked = ear.hear(GAUGE), ear.hear(GAUGE)
    assert isinstance(told, NotHeard)
    assert told.problem == "Voice for 15 s without a pause: no answer is so long."
    assert isinstance(asked, Utterance)
    assert asked.heard.trouble is Trouble.NO_PAUSE
    run = at(*TO_PRESSURE)
    run.send(replace(asked.heard, started=run.state.now, ended=run.state.now))
    run.finish_speaking()
    assert run.answer.startswith("Say again: there was no pause in the sound")
