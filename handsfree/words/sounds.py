"""How far apart phrases sound: a weighted edit distance over their phones.

Phones are those of ARPAbet, as the CMU Pronouncing Dictionary writes them: "AH0" is a vowel with
its stress, "P" a consonant. A phone is described by its row and column in the chart of the
International Phonetic Association (IPA, revised to 2020): place, manner and voice of a consonant;
height, backness and rounding of a vowel, a diphthong by where it begins and ends.

Of these, place is what noise takes first, voice and manner what it takes last: Miller and Nicely,
"An analysis of perceptual confusions among some English consonants", JASA 27 (1955), from memory.
The weights below follow that order; their sizes are a judgement.
"""

from dataclasses import dataclass
from functools import cache, lru_cache

_PLACE_WEIGHT, _MANNER_WEIGHT, _VOICE_WEIGHT = 0.5, 0.75, 0.75
_HEIGHT_WEIGHT, _BACKNESS_WEIGHT, _ROUNDING_WEIGHT = 1.0, 0.7, 0.3
# A phone that is lost or added. An unstressed vowel is hardly said in the first place.
_LOST = 1.0
_LOST_UNSTRESSED_VOWEL = 0.5

# Phrases nearer than this sound alike. "Five" and "nine" do, 1.9 apart: that is why ICAO says
# "niner" (Annex 10 Vol II, 5.2.1.4.3.1), which it has found to be enough, 2.4 apart.
LEAST_DISTANCE = 2.0
# Where one phrase is the other with phones left out, it takes more: noise, or a recording that
# begins late, loses phones sooner than it puts in others. "Connected" and "disconnected" are 3
# apart. So nothing further apart than this sounds alike. Common practice, no source.
MOST_ALIKE = 3.0

# The columns of the consonant chart, as far apart as places are: front 0, back 1.
_PLACES = {
    "bilabial": 0.0,
    "labiodental": 0.1,
    "dental": 0.25,
    "alveolar": 0.4,
    "postalveolar": 0.5,
    "palatal": 0.65,
    "velar": 0.8,
    "glottal": 1.0,
}
_OBSTRUENTS = {"plosive", "affricate", "fricative"}


@dataclass(frozen=True, slots=True)
class _Consonant:
    place: str
    manner: str
    voiced: bool


@dataclass(frozen=True, slots=True)
class _Vowel:
    """Where the tongue is, at the beginning and at the end."""

    height: tuple[float, float]  # 0 close, 1 open
    backness: tuple[float, float]  # 0 front, 1 back
    rounded: tuple[bool, bool]


def _steady(height: float, backness: float, rounded: bool = False) -> _Vowel:
    return _Vowel((height, height), (backness, backness), (rounded, rounded))


def _gliding(begin: _Vowel, end: _Vowel) -> _Vowel:
    return _Vowel(
        (begin.height[0], end.height[0]),
        (begin.backness[0], end.backness[0]),
        (begin.rounded[0], end.rounded[0]),
    )


_I, _U = _steady(0.2, 0.2), _steady(0.2, 0.8, True)
_E, _O, _A = _steady(0.33, 0.0), _steady(0.33, 1.0, True), _steady(1.0, 0.5)

_PHONES: dict[str, _Consonant | _Vowel] = {
    "P": _Consonant("bilabial", "plosive", False),
    "B": _Consonant("bilabial", "plosive", True),
    "T": _Consonant("alveolar", "plosive", False),
    "D": _Consonant("alveolar", "plosive", True),
    "K": _Consonant("velar", "plosive", False),
    "G": _Consonant("velar", "plosive", True),
    "CH": _Consonant("postalveolar", "affricate", False),
    "JH": _Consonant("postalveolar", "affricate", True),
    "F": _Consonant("labiodental", "fricative", False),
    "V": _Consonant("labiodental", "fricative", True),
    "TH": _Consonant("dental", "fricative", False),
    "DH": _Consonant("dental", "fricative", True),
    "S": _Consonant("alveolar", "fricative", False),
    "Z": _Consonant("alveolar", "fricative", True),
    "SH": _Consonant("postalveolar", "fricative", False),
    "ZH": _Consonant("postalveolar", "fricative", True),
    "HH": _Consonant("glottal", "fricative", False),
    "M": _Consonant("bilabial", "nasal", True),
    "N": _Consonant("alveolar", "nasal", True),
    "NG": _Consonant("velar", "nasal", True),
    "L": _Consonant("alveolar", "lateral", True),
    "R": _Consonant("postalveolar", "approximant", True),
    "Y": _Consonant("palatal", "approximant", True),
    "W": _Consonant("velar", "approximant", True),
    "IY": _steady(0.0, 0.0),
    "IH": _I,
    "EH": _steady(0.67, 0.0),
    "AE": _steady(0.85, 0.0),
    "AA": _steady(1.0, 1.0),
    "AO": _steady(0.67, 1.0, True),
    "AH": _steady(0.6, 0.6),
    "ER": _steady(0.5, 0.5),
    "UH": _U,
    "UW": _steady(0.0, 1.0, True),
    "EY": _gliding(_E, _I),
    "AY": _gliding(_A, _I),
    "OY": _gliding(_O, _I),
    "AW": _gliding(_A, _U),
    "OW": _gliding(_O, _U),
}

PHONES = tuple(
    said
    for phone, quality in _PHONES.items()
    for said in ([phone] if isinstance(quality, _Consonant) else [f"{phone}{n}" for n in (0, 1, 2)])
)
"""Every phone, vowels with each stress."""

Phones = tuple[str, ...]


def distance(one: Phones, other: Phones) -> float:
    """The cheapest way from one to the other, in phones: 0 is the same, 1 one phone quite changed.

    Raises KeyError for what is no ARPAbet phone.
    """
    row = [0.0]
    for phone in other:
        row.append(row[-1] + lost(phone))
    for mine in one:
        above, row = row, [row[0] + lost(mine)]
        for at, yours in enumerate(other):
            row.append(
                min(
                    above[at + 1] + lost(mine),
                    row[at] + lost(yours),
                    above[at] + changed(mine, yours),
                )
            )
    return row[-1]


@lru_cache(maxsize=8192)
def nearest(ones: tuple[Phones, ...], others: tuple[Phones, ...]) -> float:
    """The smallest distance between two phrases, each of which can be said in several ways."""
    return min(distance(one, other) for one in ones for other in others)


def sound_alike(ones: tuple[Phones, ...], others: tuple[Phones, ...]) -> bool:
    """Whether one could be taken for the other in noise."""
    apart = nearest(ones, others)
    if apart < LEAST_DISTANCE:
        return True
    return apart <= MOST_ALIKE and any(
        _is_part_of(*sorted((one, other), key=len)) for one in ones for other in others
    )


def _is_part_of(short: Phones, long: Phones) -> bool:
    """Whether `long` with some phones lost is `short`."""
    following = iter(long)
    return all(phone in following for phone in short)


@cache
def lost(phone: str) -> float:
    """What it costs to lose a phone, or to put one in."""
    return _LOST_UNSTRESSED_VOWEL if phone.endswith("0") else _LOST


@cache
def changed(one: str, other: str) -> float:
    """What it costs to change a phone into another; the same both ways."""
    # Stress is heard too: an unstressed vowel is not nearer to a stressed one than to nothing.
    stress = abs(lost(one) - lost(other))
    return max(stress, _quality_changed(one.rstrip("012"), other.rstrip("012")))


@cache
def _quality_changed(one: str, other: str) -> float:
    match _PHONES[one], _PHONES[other]:
        case _Consonant() as mine, _Consonant() as yours:
            change = (
                _PLACE_WEIGHT * abs(_PLACES[mine.place] - _PLACES[yours.place])
                + _MANNER_WEIGHT * _manners_apart(mine.manner, yours.manner)
                + _VOICE_WEIGHT * (mine.voiced != yours.voiced)
            )
            return min(change, _LOST)
        case _Vowel() as mine, _Vowel() as yours:
            change = sum(
                _HEIGHT_WEIGHT * abs(mine.height[end] - yours.height[end])
                + _BACKNESS_WEIGHT * abs(mine.backness[end] - yours.backness[end])
                + _ROUNDING_WEIGHT * (mine.rounded[end] != yours.rounded[end])
                for end in (0, 1)
            )
            return min(change / 2, _LOST)
    return _LOST


def _manners_apart(one: str, other: str) -> float:
    if one == other:
        return 0.0
    return 0.5 if (one in _OBSTRUENTS) == (other in _OBSTRUENTS) else 1.0
