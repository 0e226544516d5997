"""A tool or a piece of test equipment, as the task file names it."""

from typing import Self

from pydantic import model_validator

from handsfree.task.file_model import FileModel, Identifier, IsoDate, Text, wrong


class Equipment(FileModel):
    """A tool or a piece of test equipment."""

    name: Text
    """What it is, with its range or the steps of its scale."""
    id: Identifier | None = None
    """The name by which steps, and counts, speak of it."""
    calibrated: bool = False
    """Whether it carries a calibration date that must be checked."""
    calibration_due: IsoDate | None = None
    """The last day on which it may measure, UTC, where known; from the next day `run` refuses."""

    @model_validator(mode="after")
    def _due_only_if_calibrated(self) -> Self:
        if self.calibration_due is not None and not self.calibrated:
            raise wrong(
                "a calibration date on a tool that is not calibrated",
                "Write calibrated: true, or leave the date out",
                "calibration_due",
            )
        return self
