"""Who is heard through which microphone."""

import pytest

from handsfree.errors import Misuse
from handsfree.running.live import Headsets
from handsfree.running.sound_in import HeadsetLine
from handsfree.task.roles import Headset

TECHNICIAN = HeadsetLine(Headset.TECHNICIAN, 0, 0)


def second(microphone: int, channel: int) -> HeadsetLine:
    return HeadsetLine(Headset.SECOND_PERSON, microphone, channel)


def inspector(microphone: int) -> HeadsetLine:
    return HeadsetLine(Headset.INSPECTOR, microphone, 0)


@pytest.mark.parametrize(
    ("headsets", "lines", "can_inspect"),
    [
        (Headsets(None), (TECHNICIAN,), True),
        (Headsets(None, "two"), (TECHNICIAN, second(1, 0)), False),
        (Headsets(None, second_channel=2), (TECHNICIAN, second(0, 1)), False),
        (
            Headsets(None, "two", inspector_device="three"),
            (TECHNICIAN, second(1, 0), inspector(2)),
            True,
        ),
        (
            Headsets(None, second_channel=2, inspector_device="two"),
            (TECHNICIAN, second(0, 1), inspector(1)),
            True,
        ),
    ],
    ids=["one for all", "two devices", "two channels", "three devices", "a channel and a device"],
)
def test_each_person_has_a_headset_of_their_own(
    headsets: Headsets, lines: tuple[HeadsetLine, ...], can_inspect: bool
) -> None:
    assert headsets.lines() == lines
    assert headsets.can_inspect() is can_inspect


def test_every_person_at_a_headset_has_a_role_with_that_channel() -> None:
    lines = Headsets(None, "two", inspector_device="three").lines()
    assert [each.headset.channel for each in lines] == [1, 2, 3]


@pytest.mark.parametrize(
    "headsets",
    [
        Headsets("two", "two"),
        Headsets("2", "02"),
        Headsets("one", "two", inspector_device="two"),
        Headsets("one", inspector_device="one"),
    ],
)
def test_one_device_is_not_the_headset_of_two_people(headsets: Headsets) -> None:
    """Who spoke would then be told by chance."""
    with pytest.raises(Misuse, match=r"^run: a microphone is named for two people\. Name another"):
        headsets.microphones()
