"""What a person does at a task, and the headset that tells it."""

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


_CHANNELS = {Role.TECHNICIAN: 1, Role.SECOND_PERSON: 2, Role.INSPECTOR: 3}


def role_of(channel: int | None) -> Role | None:
    """Whose headset it is; None where there is none, or nobody's."""
    return next((role for role in Role if role.channel == channel is not None), None)
