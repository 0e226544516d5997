"""Results of Vosk as they are documented, and a model that plays them.

The words of "what zero zero zero one" are a sample in `src/vosk_api.h` of Vosk. All others are
written by hand in the same form: no English model was at hand, so that nothing here says what Vosk
hears in any sound.
"""

import json
from collections.abc import Iterable
from dataclasses import dataclass

from handsfree.hearing.vosk.grammar import Grammar

DOCUMENTED_WORDS = """{
  "result" : [{
      "conf" : 1.000000,
      "end" : 1.110000,
      "start" : 0.870000,
      "word" : "what"
    }, {
      "conf" : 1.000000,
      "end" : 1.530000,
      "start" : 1.110000,
      "word" : "zero"
    }, {
      "conf" : 1.000000,
      "end" : 1.950000,
      "start" : 1.530000,
      "word" : "zero"
    }, {
      "conf" : 1.000000,
      "end" : 2.340000,
      "start" : 1.950000,
      "word" : "zero"
    }, {
      "conf" : 1.000000,
      "end" : 2.610000,
      "start" : 2.340000,
      "word" : "one"
    }],
  "text" : "what zero zero zero one"
}"""
# `StoreEmptyReturn` in `src/recognizer.cc`, for no sound at all.
EMPTY_WORDS = '{"text": ""}'
EMPTY_ALTERNATIVES = '{"alternatives" : [{"text": "", "confidence" : 1.0}] }'


@dataclass(frozen=True)
class Recording:
    """What two decoders say of one utterance."""

    words: str
    alternatives: str


def recording(text: str, *others: tuple[str, float], confidence: float = 1.0) -> Recording:
    """The likeliest `text`, and `others`, each with how many nats it is behind."""
    said = text.split()
    result = [
        {"conf": confidence, "start": 0.3 * at, "end": 0.3 * at + 0.27, "word": word}
        for at, word in enumerate(said)
    ]
    words = {"result": result, "text": text} if said else {"text": ""}
    ranked = [(text, 0.0), *others]
    alternatives = [{"text": each, "confidence": 160.0 - behind} for each, behind in ranked]
    return Recording(json.dumps(words), json.dumps({"alternatives": alternatives}))


class RecordedDecoder:
    """Plays a recording."""

    def __init__(self, played: Recording, grammar: Grammar) -> None:
        self.grammar = grammar
        self.accepted = b""
        self._played = played
        self._alternatives = False

    def AcceptWaveform(self, data: bytes) -> int:
        self.accepted += data
        return 0

    def FinalResult(self) -> str:
        return self._played.alternatives if self._alternatives else self._played.words

    def SetWords(self, enable_words: bool) -> None:
        assert enable_words

    def SetMaxAlternatives(self, max_alternatives: int) -> None:
        self._alternatives = max_alternatives > 0


class RecordedModel:
    """Knows every word but some, and hears the same in every sound."""

    def __init__(self, played: Recording, lacks: Iterable[str] = ()) -> None:
        self.name = "recorded-model"
        self.decoders: list[RecordedDecoder] = []
        self._played = played
        self._lacks = {"<unk>", "<UNK>", *lacks}

    def knows(self, word: str) -> bool:
        return word not in self._lacks

    def decoder(self, grammar: Grammar) -> RecordedDecoder:
        self.decoders.append(RecordedDecoder(self._played, grammar))
        return self.decoders[-1]
