"""Sound in: clips, the recognizers that listen to them, and how far to believe what they heard."""

from handsfree.hearing.audio import SAMPLE_RATE, Audio
from handsfree.hearing.clips import read_clip
from handsfree.hearing.recognizer import Recognizer
from handsfree.hearing.transcriber import Transcriber

__all__ = ["SAMPLE_RATE", "Audio", "Recognizer", "Transcriber", "read_clip"]
