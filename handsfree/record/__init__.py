"""The record of a run: what was heard, decided and said, written through before it is answered."""

from handsfree.record.clips import KeptClip
from handsfree.record.log import Record, RecordExists, RecordNotWritten

__all__ = ["KeptClip", "Record", "RecordExists", "RecordNotWritten"]
