"""Who is heard through which microphone."""

import pytest

from handsfree.errors import Misuse
from handsfree.running.ears import CHANNEL_OF
from handsfree.running.live import Headsets
from handsfree.running.sound_in import Person

TECHNICIAN = Person("technician", 0, 0)


@pytest.mark.parametrize(
    ("headsets", "people", "can_inspect"),
    [
        (Headsets(None), (TECHNICIAN,), True),
        (Headsets(None, "two"), (TECHNICIAN, Person("second-person", 1, 0)), False),
        (Headsets(None, second_channel=2), (TECHNICIAN, Person("second-person", 0, 1)), False),
        (
            Headsets(None, "two", inspector_device="three"),
            (TECHNICIAN, Person("second-person", 1, 0), Person("inspector", 2, 0)),
            True,
        ),
        (
            Headsets(None, second_channel=2, inspector_device="two"),
            (TECHNICIAN, Person("second-person", 0, 1), Person("inspector", 1, 0)),
            True,
        ),
    ],
    ids=["one for all", "two devices", "two channels", "three devices", "a channel and a device"],
)
def test_each_person_has_a_headset_of_their_own(
    headsets: Headsets, people: tuple[Person, ...], can_inspect: bool
) -> None:
    assert headsets.people() == people
    assert headsets.can_inspect() is can_inspect


def test_every_person_at_a_headset_has_a_role_with_that_channel() -> None:
    people = Headsets(None, "two", inspector_device="three").people()
    assert [CHANNEL_OF[each.name] for each in people] == [1, 2, 3]


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
