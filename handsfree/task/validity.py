"""Whether a date that was read out lets the work go on; today is given, no clock is read."""

from collections.abc import Iterable
from datetime import date
from enum import Enum


class DateVerdict(Enum):
    """What comes of a date until which something is valid."""

    IN_DATE = "in date"
    OUT_OF_DATE = "out of date"
    NO_SUCH_DATE = "no such date"  # the calendar does not have it
    ANOTHER_DATE = "another date on file"  # than the task or the equipment list says
    TODAY_UNKNOWN = "today is not known"


def judge_date(said: date | None, today: date | None, on_file: Iterable[date]) -> DateVerdict:
    """The verdict on the last day of validity that was `said`; None: there is no such day.

    `on_file` are the dates that the task and the equipment list give for the same thing. A last
    day counts: on it, what it is about is still valid (common practice, no source). What is out of
    date by any of the dates is out of date.
    """
    if said is None:
        return DateVerdict.NO_SUCH_DATE
    if today is None:
        return DateVerdict.TODAY_UNKNOWN
    known = (said, *on_file)
    if min(known) < today:
        return DateVerdict.OUT_OF_DATE
    return DateVerdict.IN_DATE if len(set(known)) == 1 else DateVerdict.ANOTHER_DATE
