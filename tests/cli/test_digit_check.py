"""Ten digits before work: who is misheard is told so, and must be heard more surely in the run."""

from datetime import timedelta

import pytest

from handsfree.cli.digit_check import (
    DIGITS,
    DigitCheck,
    SaidDigit,
    ask_digits,
    check_people,
    random_order,
)
from handsfree.engine.trust import VALUE_AT
from handsfree.engine.voices import Voices
from handsfree.errors import Misuse
from handsfree.hearing.live import voice_activity
from handsfree.running.live import Headsets
from handsfree.words.heard import Heard, Opinion
from handsfree.words.spoken_numbers import speak_figures
from tests.cli.command import handsfree
from tests.live.fakes import Arrays, Clock, Hears, LoudIsVoice, silence, voice

NOW = timedelta(0)
SPOKEN = [speak_figures(each) for each in DIGITS]


def said(digit: str, words: str, score: float = 0.97, *listeners: str) -> SaidDigit:
    names = ("reader", "whisper")
    opinions = tuple(
        Opinion(name, tuple(heard.split()), -1.0, 1.0, heard)
        for name, heard in zip(names, listeners, strict=False)
    )
    return SaidDigit(digit, Heard(tuple(words.split()), score, (), opinions, NOW, NOW))


def all_but(*others: SaidDigit) -> DigitCheck:
    replaced = {each.digit for each in others}
    rest = [said(digit, speak_figures(digit)) for digit in DIGITS if digit not in replaced]
    return DigitCheck((*others, *rest))


def test_each_digit_is_asked_for_once() -> None:
    assert sorted(random_order()) == list(DIGITS)


def test_whoever_is_heard_right_and_surely_is_told_so() -> None:
    check = all_but()
    assert check.is_good
    assert check.lines() == (
        "Of 10 digits 10 were heard right and surely, 0 wrong and surely, "
        "and 0 would be asked for again.",
    )


def test_a_digit_that_is_taken_for_another_is_told_and_is_no_good_check() -> None:
    check = all_but(said("6", "eight"))
    assert not check.is_good
    assert check.lines()[1] == "six: heard as eight, and believed."
    assert check.lines()[-1].startswith("Speak closer and say each digit by itself;")


def test_a_doubtful_digit_is_asked_for_again_and_says_nothing_of_the_hearing() -> None:
    check = all_but(said("6", "eight", VALUE_AT - 0.01), said("3", "three", 0.2))
    assert check.is_good
    assert check.count == (True,) * 8
    assert check.lines()[1] == "six: heard as eight."


def test_three_doubtful_digits_are_too_many() -> None:
    assert not all_but(*(said(each, speak_figures(each), 0.2) for each in "123")).is_good


def test_no_voice_and_no_number_are_told() -> None:
    lines = all_but(SaidDigit("6", None), said("3", "the weather", 0.1)).lines()
    assert lines[1:3] == ("six: no voice was heard.", "three: heard as no number.")


def test_it_is_told_which_listener_hears_how_many() -> None:
    check = all_but(said("6", "eight", 0.1, "eight", "six"), said("3", "three", 0.97, "three", ""))
    assert check.lines()[-2:] == (
        "reader: 1 of 10 right by itself.",
        "whisper: 1 of 10 right by itself.",
    )


def test_the_digits_are_said_and_listened_for_one_by_one() -> None:
    sound = [*silence(5), *voice(15), *silence(30)] * 10
    told: list[str] = []
    microphone = Arrays(Clock(), *sound)
    check = ask_digits(microphone, 0, LoudIsVoice(), Hears(*SPOKEN), told.append, tuple(DIGITS))
    assert told == ["Say each digit after me.", *(f"{each.capitalize()}." for each in SPOKEN)]
    assert microphone.opened == 10
    assert check.count == (True,) * 10


def test_who_says_nothing_is_waited_for_a_while_and_no_longer() -> None:
    microphone = Arrays(Clock(), *silence(200))
    check = ask_digits(microphone, 0, LoudIsVoice(), Hears("one"), lambda _: None, ("1",))
    assert check.said == (SaidDigit("1", None),)


def test_what_is_found_of_each_person_sets_the_count_of_the_run(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(voice_activity, "SileroActivity", LoudIsVoice)
    sound = [*silence(5), *voice(15), *silence(30)] * 10
    microphones = (Arrays(Clock(), *sound), Arrays(Clock(), *sound))
    lines = Headsets(None, second_device="other").lines()
    told: list[str] = []
    checked = check_people(lines, microphones, Hears("one"), told.append, told.append)
    assert checked == tuple(
        (role, each)
        for (role, each) in zip(
            ("technician", "second person"), (checked[0][1], checked[1][1]), strict=True
        )
    )
    # "One" was heard ten times, and was right once.
    assert [sorted(each) for _, each in checked] == [[False] * 9 + [True]] * 2
    assert Voices.heard_before(checked).voice("second person").wrong == 9


@pytest.mark.parametrize("heard_by", [{"keyboard": True}, {"resume": "r"}])
def test_a_hearing_check_needs_a_new_run_with_microphones(heard_by: dict[str, object]) -> None:
    new = ("x.yaml", "--keyboard")
    done = handsfree(
        "run", "--hearing-check", *(new if "keyboard" in heard_by else ("--resume", "r"))
    )
    assert done.returncode == Misuse.exit_code
    assert done.stderr.strip() == (
        "run: --hearing-check is for the start of a new run with microphones."
    )
