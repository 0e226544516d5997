"""Phrases, and the set of them that is valid at one moment."""

from handsfree.words.phrases.fixed import (
    CasualWords,
    Confirmation,
    Negations,
    Order,
    Query,
    Standard,
    Taken,
)
from handsfree.words.phrases.phrase_set import BUILT_IN, Phrase, PhraseSet, Standing
from handsfree.words.phrases.values import (
    Date,
    Identity,
    PlainNumber,
    Reading,
    ReadingTwice,
    Seconded,
)

__all__ = [
    "BUILT_IN",
    "CasualWords",
    "Confirmation",
    "Date",
    "Identity",
    "Negations",
    "Order",
    "Phrase",
    "PhraseSet",
    "PlainNumber",
    "Query",
    "Reading",
    "ReadingTwice",
    "Seconded",
    "Standard",
    "Standing",
    "Taken",
]
