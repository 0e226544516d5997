"""How the voice says a word that the dictionary lacks: the spelling rules of espeak-ng.

The same rules speak the word in a run, so what is compared is what is heard. They write the sounds
of American English in the International Phonetic Alphabet; here they become the phones of ARPAbet,
as the CMU Pronouncing Dictionary writes them.

The library ends the whole process where it finds no data, so it runs in a process of its own.
"""

import contextlib
import ctypes
import json
import os
import subprocess
import sys
from collections.abc import Iterable

from handsfree.words.sounds import Phones

_PATIENCE_S = 20
_VOICE = b"en-us"
_SILENT = 2  # AUDIO_OUTPUT_SYNCHRONOUS: nothing is played
_UTF_8 = 1
_IPA = 2
_APART = ord("_") << 8  # what is written between two sounds

# Longest first where one begins with another. A vowel is followed by its stress.
_VOWELS = {
    "aɪɚ": ("AY", "ER"),
    "aɪə": ("AY", "AH"),
    "aʊɚ": ("AW", "ER"),
    "oʊ": ("OW",),
    "eɪ": ("EY",),
    "aɪ": ("AY",),
    "aʊ": ("AW",),
    "ɔɪ": ("OY",),
    "iə": ("IY", "AH"),
    "ɑ": ("AA",),
    "ɒ": ("AA",),
    "ɪ": ("IH",),
    "ᵻ": ("IH",),
    "i": ("IY",),
    "ɛ": ("EH",),
    "e": ("EH",),
    "æ": ("AE",),
    "a": ("AE",),
    "ʌ": ("AH",),
    "ə": ("AH",),
    "ɐ": ("AH",),
    "ɚ": ("ER",),
    "ɜ": ("ER",),
    "ɔ": ("AO",),
    "o": ("AO",),
    "u": ("UW",),
    "ʊ": ("UH",),
}
_CONSONANTS = {
    "tʃ": "CH",
    "dʒ": "JH",
    "ʃ": "SH",
    "ʒ": "ZH",
    "θ": "TH",
    "ð": "DH",
    "ŋ": "NG",
    "ɡ": "G",
    "ɹ": "R",
    "r": "R",
    "ɾ": "T",  # as the dictionary has it in "thirty" and "little"
    "ʔ": "T",
    "j": "Y",
    "h": "HH",
    "x": "K",
    **{each.lower(): each for each in "PBTDKFVSZMNLW"},
}
_SYLLABIC = "\u0329"  # below a consonant that is a syllable by itself
_STRESS = {"ˈ": "1", "ˌ": "2"}
_LENGTH = "ː"


def by_spelling(words: Iterable[str]) -> dict[str, Phones]:
    """How the voice says each of `words`; without those that it says with other sounds.

    Empty where the library cannot be run: then the words are as unknown as before.
    """
    asked = sorted({each for each in words if each.isascii() and each.isalpha()})
    if not asked:
        return {}
    # The child must find what we found, from wherever we were started.
    environment = os.environ | {"PYTHONPATH": os.pathsep.join(map(os.path.abspath, sys.path))}
    try:
        done = subprocess.run(
            [sys.executable, "-m", __name__],
            input=json.dumps(asked),
            capture_output=True,
            env=environment,
            text=True,
            encoding="utf-8",
            timeout=_PATIENCE_S,
            check=True,
        )
        written = json.loads(done.stdout)
    except (OSError, ValueError, subprocess.SubprocessError):
        return {}
    phones = {word: phones_of(ipa) for word, ipa in zip(asked, written, strict=True)}
    return {word: said for word, said in phones.items() if said}


def phones_of(ipa: str) -> Phones:
    """The phones of a word in IPA as espeak-ng writes it; empty where a sign is not known."""
    found: list[str] = []
    stress = "0"
    rest = ipa.replace("_", "").replace(_LENGTH, "")
    while rest:
        if rest[0] in _STRESS:
            stress, rest = _STRESS[rest[0]], rest[1:]
            continue
        for length in (3, 2, 1):
            sign, after = rest[:length], rest[length:]
            if sign in _VOWELS:
                first, *others = _VOWELS[sign]
                found += [first + stress, *(f"{other}0" for other in others)]
                stress = "0"
                break
            if sign in _CONSONANTS:
                if after.startswith(_SYLLABIC):
                    found.append("AH0")
                    after = after[1:]
                found.append(_CONSONANTS[sign])
                break
        else:
            return ()
        rest = after
    return tuple(found)


def main() -> None:
    """In the process of its own: words as JSON in, what the voice says of each in IPA out."""
    from handsfree.speaking.espeak_library import load_espeak_library

    words = json.load(sys.stdin)
    library = load_espeak_library()
    library.espeak_TextToPhonemes.restype = ctypes.c_char_p
    library.espeak_TextToPhonemes.argtypes = [
        ctypes.POINTER(ctypes.c_char_p),
        ctypes.c_int,
        ctypes.c_int,
    ]
    library.espeak_Initialize(_SILENT, 0, os.environ["ESPEAK_DATA_PATH"].encode(), 0)
    library.espeak_SetVoiceByName(_VOICE)
    said: list[str] = []
    for word in words:
        text = ctypes.c_char_p(word.encode("ascii"))
        ipa = library.espeak_TextToPhonemes(ctypes.byref(text), _UTF_8, _IPA | _APART)
        said.append((ipa or b"").decode("utf-8"))
    print(json.dumps(said))


if __name__ == "__main__":
    with contextlib.suppress(BrokenPipeError):
        main()
