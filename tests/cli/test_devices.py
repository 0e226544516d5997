"""`handsfree devices`: the list, and the sound check on sound made of arrays."""

from types import SimpleNamespace

from handsfree.cli.devices import listed, sound_check
from tests.cli.command import handsfree
from tests.live.fakes import Arrays, Clock, Hears, LoudIsVoice, blocks, silence, voice

QUIET = silence(94)


def checked(*sound: object, words: str = "how do you read") -> tuple[bool, list[str], list[str]]:
    clock, told, shown = Clock(), list[str](), list[str]()
    microphone = Arrays(clock, *sound)  # type: ignore[arg-type] # blocks
    good = sound_check(microphone, 0, LoudIsVoice(), Hears(words), told.append, shown.append)
    return good, told, shown


def test_a_good_microphone_reads_five() -> None:
    good, told, shown = checked(*QUIET, *silence(10), *voice(40), *silence(30))
    assert good
    assert told == [
        "Sound check. Be quiet for three seconds.",
        "Now say: how do you read.",
        "Readability five.",
    ]
    (figures,) = shown
    assert figures.startswith("voice -20 dB FS, noise none, signal to noise not to be had, 0 ")


def test_a_voice_that_is_too_loud_is_told_what_to_do() -> None:
    good, told, shown = checked(*QUIET, *silence(10), *blocks(0.8, 40), *silence(30))
    assert good
    assert told[-1] == "Readability four."
    assert shown[-1] == "The voice is very loud: turn the input level down."


def test_words_that_were_not_understood_are_no_good_microphone() -> None:
    good, told, _ = checked(*QUIET, *silence(10), *voice(40), *silence(30), words="unable")
    assert not good
    assert told[-1] == "Readability two."


def test_without_a_voice_it_asks_whether_it_is_the_right_device() -> None:
    good, told, shown = checked(*QUIET, *silence(600))
    assert not good
    assert told[-1] == "Readability one. I heard no voice."
    assert shown == ["Is it the right device? See `handsfree devices`, and whether it is muted."]


def test_each_device_has_a_line_with_what_it_can_do() -> None:
    found = [
        {
            "name": "headset",
            "max_input_channels": 2,
            "max_output_channels": 2,
            "default_samplerate": 48_000.0,
        },
        {
            "name": "hub",
            "max_input_channels": 0,
            "max_output_channels": 0,
            "default_samplerate": 1.0,
        },
    ]
    module = SimpleNamespace(query_devices=lambda: found, default=SimpleNamespace(device=(0, 0)))
    assert listed(module) == ["  0  headset: 2 in (default), 2 out (default), 48000 Hz"]


def test_no_devices_are_told_of() -> None:
    module = SimpleNamespace(query_devices=list, default=SimpleNamespace(device=(-1, -1)))
    assert listed(module) == ["No sound devices were found."]


def test_a_microphone_that_is_not_there_is_misuse_and_other_ways_are_named() -> None:
    done = handsfree("devices", "--check", "--device", "no such headset")
    assert done.returncode == 2
    assert done.stderr.startswith("No microphone: ")
    assert "--clips FOLDER or by typed words with --keyboard." in done.stderr
