"""A supervisor's word is signed itself, together with the place where it stands.

A seal says that its owner had a record; it says nothing of who wrote the entries in it, and the
next seal of a person covers whatever somebody else has appended since. So a word carries a
signature of its own (Ed25519, RFC 8032) over the canonical JSON (RFC 8785) of its whole entry. That
entry holds the SHA-256 of the line before it, and through the chain all that the word is about:
taken from another record, or put in a second time in the same one, it is not signed.
"""

from collections.abc import Callable

import msgspec
import rfc8785

from handsfree.record.entries import NOT_JSON
from handsfree.record.keys import Keys, is_signed
from handsfree.record.values import JsonObject

PURPOSE = "handsfree supervisor's word, version 1"


def signer(keys: Keys) -> Callable[[JsonObject], str]:
    """What signs the entry of a word with these keys."""
    return lambda entry: keys.sign(_signed(entry))


def is_word_of(line: bytes, key: str) -> bool:
    """Whether the word on this line of a log is signed by this key for just this place."""
    try:
        entry = msgspec.json.decode(line, type=dict)
        # Else two readers could take the same bytes for different words.
        if rfc8785.dumps(entry) != line:
            return False
        return is_signed(_signed(entry), entry["signature"], key)
    except (*NOT_JSON, rfc8785.CanonicalizationError, LookupError, TypeError):
        return False


def _signed(entry: JsonObject) -> bytes:
    """What the signature is over. The purpose keeps it apart from those of seals."""
    return rfc8785.dumps(
        {name: each for name, each in entry.items() if name != "signature"} | {"purpose": PURPOSE}
    )
