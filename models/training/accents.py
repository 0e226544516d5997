"""How people with another mother tongue say English: substitutions of phonemes (IPA).

Each accent is a list of habits, and a speaker has each of them or not, drawn from the name, so that
one person speaks alike throughout. The habits are common ones of learners of English (J. C. Wells,
"Accents of English", Cambridge 1982, and Swan and Smith, "Learner English", Cambridge 2001; both
from memory), the shares are judgements.
"""

import re
from dataclasses import dataclass
from functools import cache
from random import Random

_END = r"(?=$|[ ,.;?!])"  # of a word
_VOWEL = "aeiouæɑɐɒɔəɛɜɪʊʌɚ"


@dataclass(frozen=True, slots=True)
class Habit:
    """One substitution, and how many of a hundred speakers of the accent make it."""

    sound: str  # regular expression
    said: str
    percent: int


def _th(voiceless: str, voiced: str, percent: int) -> tuple[Habit, ...]:
    return Habit("θ", voiceless, percent), Habit("ð", voiced, percent)


def _devoiced(percent: int) -> tuple[Habit, ...]:
    pairs = zip("bdgvzʒ", "ptkfsʃ", strict=True)
    return tuple(Habit(f"{voiced}{_END}", said, percent) for voiced, said in pairs)


_TENSE = (Habit("ɪ", "i", 70), Habit("ʊ", "u", 60), Habit("ʌ", "a", 60), Habit("æ", "ɛ", 50))
_PURE = (Habit("oʊ|əʊ", "o", 60), Habit("eɪ", "e", 50), Habit("ɐ|ə(?!ʊ)", "ɛ", 30))
_NO_STRESS = Habit("[ˈˌ]", "", 35)  # syllable timing

ACCENTS: dict[str, tuple[Habit, ...]] = {
    "french": (
        *_th("s", "z", 70), *_TENSE, *_PURE, _NO_STRESS, Habit("h", "", 70), Habit("ɹ", "ʁ", 60),
        Habit("ˈ([^ ]+)", r"\1", 40), Habit("tʃ", "ʃ", 25), Habit("dʒ", "ʒ", 25),
    ),
    "german": (
        *_th("s", "z", 60), *_devoiced(75), Habit("w", "v", 65), Habit("ɹ", "ʁ", 50),
        Habit("æ", "ɛ", 70), Habit("eɪ", "e", 35), Habit("oʊ|əʊ", "o", 40), Habit("ʌ", "a", 50),
        Habit(r"\bs(?=[aeiouæɑɛɪ])", "z", 20), Habit(r"\bz", "ts", 15),
    ),
    "greek": (
        *_TENSE, *_PURE, Habit("ɹ", "ɾ", 70), Habit("h", "x", 60), Habit("ʃ", "s", 40),
        Habit("tʃ", "ts", 50), Habit("dʒ", "dz", 40), _NO_STRESS,
    ),
    "spanish": (
        *_th("t", "d", 50), *_TENSE, *_PURE, _NO_STRESS, Habit("ɹ", "ɾ", 60), Habit("z", "s", 80),
        Habit("v", "b", 60), Habit(r"\bs(?=[ptk])", "es", 50), Habit("h", "x", 60),
        Habit(f"[td]{_END}", "", 20), Habit("dʒ", "ʝ", 30),
    ),
    "italian": (
        *_th("t", "d", 75), *_TENSE, *_PURE, _NO_STRESS, Habit("ɹ", "r", 60), Habit("h", "", 60),
        Habit(f"([vnktsz]){_END}", r"\1ə", 40),
    ),
    "slavic": (
        *_th("t", "d", 45), *_th("s", "z", 25), *_devoiced(70), *_TENSE, Habit("w", "v", 55),
        Habit("ɹ", "r", 70), Habit("h", "x", 55), Habit("oʊ|əʊ", "o", 60),
    ),
    "indian": (
        *_th("t", "d", 80), Habit("w", "v", 45), Habit("t", "ʈ", 60), Habit("d", "ɖ", 60),
        Habit("ɹ", "ɾ", 50), *_PURE, _NO_STRESS, Habit("æ", "ɛ", 40),
    ),
    "chinese": (
        *_th("s", "d", 60), Habit("v", "w", 45), *_devoiced(60), _NO_STRESS, Habit("ɪ", "i", 60),
        Habit(f"[tdkv]{_END}", "", 35), Habit(f"ks{_END}", "s", 25), Habit("z", "s", 40),
        Habit(f"n{_END}", "ŋ", 25),
    ),
    "japanese": (
        *_th("s", "z", 75), *_TENSE, *_PURE, _NO_STRESS, Habit("v", "b", 60), Habit("l", "ɾ", 50),
        Habit("ɹ", "ɾ", 50), Habit(f"([ktsv]){_END}", r"\1ɯ", 40), Habit("f", "ɸ", 40),
    ),
    "london": (
        *_th("f", "v", 75), Habit(f"t{_END}", "ʔ", 60), Habit("h", "", 60), Habit("eɪ", "aɪ", 40),
    ),
}  # fmt: skip


@cache
def habits_of(speaker: str, accent: str) -> tuple[Habit, ...]:
    """The habits that this speaker has."""
    random = Random(f"{accent}:{speaker}")
    kept: list[Habit] = []
    had: dict[int, bool] = {}
    for habit in ACCENTS[accent]:
        # Those of equal share are one habit: who devoices a final v devoices z.
        has = had.setdefault(habit.percent, random.random() * 100 < habit.percent)
        if has:
            kept.append(habit)
    return tuple(kept)


def accented(phonemes: str, speaker: str, accent: str) -> str:
    """`phonemes` (IPA, as espeak-ng writes it for English) as `speaker` says them."""
    for habit in habits_of(speaker, accent) if accent else ():
        phonemes = re.sub(habit.sound, habit.said, phonemes)
    return phonemes
