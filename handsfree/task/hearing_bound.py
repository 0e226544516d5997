"""How surely a task must be heard before it goes to the hangar, as its owner states it."""

from decimal import Decimal
from typing import Annotated

from pydantic import Field

from handsfree.task.file_model import FileModel

_Share = Annotated[Decimal, Field(gt=0, lt=1, max_digits=18)]
_Decibel = Annotated[Decimal, Field(ge=-20, le=60, max_digits=18)]


class HearingBound(FileModel):
    """A bound that `handsfree rehearse` holds the task against."""

    wrong_below: _Share
    """Of all that is said at the steps, the share that may be accepted wrong, such as 0.001."""
    at_snr: _Decibel
    """The noise in which it must hold: decibels of the speech above the noise."""

    @property
    def in_words(self) -> str:
        """The bound as a clause for a person."""
        return (
            f"fewer than {self.wrong_below:f} of all that is said at the steps accepted wrong, "
            f"with the speech {self.at_snr:f} dB above the noise"
        )
