"""Sound out: the voice that the technician hears, or the file that keeps it.

    speaker = open_speaker(None)
    speaker.say("Two niner five zero psi. Inside limits.")
    speaker.close()

Nothing heavy is imported here; engine and sound device are loaded when a speaker is built.
"""

from handsfree.speaking.choose import open_speaker
from handsfree.speaking.speaker import Speaker
from handsfree.speaking.to_file import SpeechFileUnwritable
from handsfree.speaking.voice import SpeechEngineFailed

__all__ = ["Speaker", "SpeechEngineFailed", "SpeechFileUnwritable", "open_speaker"]
