"""One more listener: Vosk, where a model for it is installed.

Vosk is Kaldi's decoder with a small programming interface (https://alphacephei.com/vosk). It knows
nothing of Whisper and of our reader, so it makes other mistakes than they do.
"""
