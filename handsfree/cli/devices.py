"""`handsfree devices`: which sound devices there are, and whether one can be worked with."""

import math
from collections.abc import Callable
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from handsfree.hearing.audio import Samples
    from handsfree.hearing.live.microphone import Microphone
    from handsfree.hearing.live.sound_check import SoundMeasured
    from handsfree.hearing.live.voice_activity import VoiceActivity
    from handsfree.hearing.recognizer import Recognizer

QUIET_S = 3.0
WAIT_S = 15.0


def devices(
    check: Annotated[
        bool,
        typer.Option(
            "--check", help="A sound check: be quiet, say how do you read, and ten digits."
        ),
    ] = False,
    device: Annotated[
        str | None,
        typer.Option(metavar="NAME", help="The microphone, by name or number.  [default: default]"),
    ] = None,
    channel: Annotated[
        int, typer.Option(metavar="N", min=1, help="The channel of it that is checked.")
    ] = 1,
) -> None:
    """List the sound devices, or check how well a microphone hears."""
    from handsfree.hearing.live.microphone import DeviceMicrophone, load_portaudio, numbered

    if not check:
        for line in listed(load_portaudio()):
            typer.echo(line)
        return
    from handsfree.cli.digit_check import ask_digits, random_order
    from handsfree.hearing.live.voice_activity import SileroActivity
    from handsfree.hearing.opening import open_recognizer
    from handsfree.speaking import open_speaker

    microphone = DeviceMicrophone(numbered(device), channel)
    recognizer = open_recognizer()
    speaker = open_speaker(None)

    def tell(text: str) -> None:
        typer.echo(text)
        speaker.say(text)

    activity = SileroActivity()
    try:
        good = sound_check(microphone, channel - 1, activity, recognizer, tell, typer.echo)
        if good:
            # Without a voice that is understood, ten more questions would tell nothing new.
            found = ask_digits(microphone, channel - 1, activity, recognizer, tell, random_order())
            good = found.is_good
            for line in found.lines():
                typer.echo(line)
    finally:
        microphone.close()
        speaker.close()
    if not good:
        raise typer.Exit(1)


def listed(sounddevice: object) -> list[str]:
    """One line for each device that hears or speaks."""
    found = sounddevice.query_devices()  # type: ignore[attr-defined] # PortAudio has no types
    defaults = sounddevice.default.device  # type: ignore[attr-defined]
    lines = []
    for number, each in enumerate(found):
        ways = [
            f"{each[f'max_{way}_channels']} {noun}{' (default)' if number == default else ''}"
            for way, noun, default in zip(
                ("input", "output"), ("in", "out"), (defaults[0], defaults[1]), strict=True
            )
            if each[f"max_{way}_channels"]
        ]
        if ways:
            rate = f"{each['default_samplerate']:.0f} Hz"
            lines.append(f"{number:3d}  {each['name']}: {', '.join(ways)}, {rate}")
    return lines or ["No sound devices were found."]


def sound_check(
    microphone: "Microphone",
    channel: int,
    activity: "VoiceActivity",
    recognizer: "Recognizer",
    tell: Callable[[str], None],
    show: Callable[[str], None],
) -> bool:
    """Listen to the place, then to "how do you read", and say what was found; True: all is well.

    Raises MicrophoneLost.
    """
    from datetime import timedelta

    from handsfree.hearing.audio import Audio
    from handsfree.hearing.live.sound_check import advice, measure, readability
    from handsfree.words.phrases import PhraseSet, Standard
    from handsfree.words.standard import StandardWord

    tell("Sound check. Be quiet for three seconds.")
    microphone.open()
    quiet = _record(microphone, channel, QUIET_S)
    microphone.close()
    tell("Now say: how do you read.")
    microphone.open()
    voice = utterance(microphone, channel, activity)
    microphone.close()
    if voice is None:
        tell("Readability one. I heard no voice.")
        show("Is it the right device? See `handsfree devices`, and whether it is muted.")
        return False
    phrases = PhraseSet(tuple(Standard(word) for word in StandardWord))
    heard = recognizer.recognize(Audio(voice, timedelta(0)), phrases)
    asked = " ".join(heard.words) == StandardWord.HOW_DO_YOU_READ.value
    measured = measure(quiet, voice)
    read = readability(asked, heard.score, measured)
    tell(f"Readability {('one', 'two', 'three', 'four', 'five')[read - 1]}.")
    show(_figures(measured, heard.score))
    for line in advice(measured):
        show(line)
    return read >= 4


def _figures(measured: "SoundMeasured", score: float) -> str:
    # A device that gates or mutes gives digital silence, which has no level and no ratio.
    noise = "none" if math.isinf(measured.floor_dbfs) else f"{measured.floor_dbfs:.0f} dB FS"
    ratio = "not to be had" if math.isinf(measured.snr_db) else f"{measured.snr_db:.0f} dB"
    return (
        f"voice {measured.level_dbfs:.0f} dB FS, noise {noise}, signal to noise {ratio}, "
        f"{measured.clipped} samples cut off, score {score:.2f}"
    )


def _record(microphone: "Microphone", channel: int, seconds: float) -> "Samples":
    import numpy as np

    from handsfree.hearing.live.channel import Framer
    from handsfree.hearing.live.endpoint import FRAME_MS
    from handsfree.hearing.live.microphone import PATIENCE_S

    framer = Framer(microphone.rate_hz)
    frames: list[Samples] = []
    while len(frames) * FRAME_MS < seconds * 1000:
        block = microphone.read(PATIENCE_S)
        if block is not None:
            frames += framer.frames(block.samples[:, channel])
    return np.concatenate(frames)


def utterance(
    microphone: "Microphone", channel: int, activity: "VoiceActivity", wait_s: float = WAIT_S
) -> "Samples | None":
    """The next thing that is said at `channel`, from 0; None: no voice came in `wait_s` seconds.

    Raises MicrophoneLost.
    """
    from handsfree.hearing.live.channel import Channel
    from handsfree.hearing.live.endpoint import FRAME_MS, Ended, Rules
    from handsfree.hearing.live.microphone import PATIENCE_S
    from handsfree.task.roles import Headset

    person = Channel(Headset.TECHNICIAN.source, activity, Rules(), microphone.rate_hz)
    while person.frames_seen * FRAME_MS < wait_s * 1000:
        block = microphone.read(PATIENCE_S)
        for frame in person.take(block.samples[:, channel]) if block is not None else ():
            for found in frame:
                if isinstance(found, Ended):
                    return person.sound(found.first, found.end)
    return None
