"""The record of a run: what was heard, decided and said, written through before it is answered."""

from handsfree.record.clips import KeptClip
from handsfree.record.log import RecordInUse, RecordNotWritten
from handsfree.record.record import Circumstances, Record, RecordExists

__all__ = [
    "Circumstances",
    "KeptClip",
    "Record",
    "RecordExists",
    "RecordInUse",
    "RecordNotWritten",
]
