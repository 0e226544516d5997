"""What a person does at a task, and the headset that tells who speaks."""

from enum import Enum


class Role(Enum):
    """What a person does at a task."""

    TECHNICIAN = "technician"
    SECOND_PERSON = "second person"
    INSPECTOR = "inspector"
    SUPERVISOR = "supervisor"

    @property
    def channel(self) -> int | None:
        """The channel of the headset that this person wears; a supervisor has none of their own."""
        return _CHANNELS.get(self)


class Headset(Enum):
    """A headset of a run. The value is its channel, as it is on the record and typed at a line."""

    TECHNICIAN = 1
    SECOND_PERSON = 2
    INSPECTOR = 3

    @property
    def channel(self) -> int:
        """By this number an utterance tells who spoke."""
        return self.value

    @property
    def role(self) -> Role:
        """Of the person who wears it."""
        return Role[self.name]

    @property
    def source(self) -> str:
        """What an utterance from it is called, also in the name of a file: "second-person"."""
        return self.role.value.replace(" ", "-")

    @classmethod
    def of_clip(cls, stem: str) -> "Headset | None":
        """The headset that a clip was recorded from: "07-second-person" is of the second person."""
        number, _, source = stem.partition("-")
        return next((each for each in cls if each.source == source and number.isdigit()), None)


def role_of(channel: int | None) -> Role | None:
    """Whose headset it is; None where there is none, or nobody's."""
    return None if channel is None else _ROLES.get(channel)


_ROLES = {each.channel: each.role for each in Headset}
_CHANNELS = {role: channel for channel, role in _ROLES.items()}
