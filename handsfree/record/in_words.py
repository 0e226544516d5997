"""How a summary writes times and counts."""

from datetime import datetime, timedelta

from handsfree.record.entries import read_utc
from handsfree.record.summary import Summary


def time_of(summary: Summary, utc: str, always_day: bool = False) -> str:
    """`utc` of an entry as a time of the place; with its date after the first day, or always."""
    time = summary.local(read_utc(utc))
    is_first_day = summary.began is None or time.date() == summary.began.date()
    is_first_day = is_first_day and not always_day
    return f"{time:%H:%M:%S}" if is_first_day else f"{time:%Y-%m-%d %H:%M:%S}"


def clock(time: timedelta) -> str:
    """A time as hours, minutes and seconds."""
    seconds = round(time.total_seconds())
    return f"{seconds // 3600}:{seconds // 60 % 60:02d}:{seconds % 60:02d}"


def counted(number: int, name: str) -> str:
    """ "1 step" or "2 steps"."""
    return f"{number} {name}" if number == 1 else f"{number} {name}s"


def zone_of(summary: Summary, time: datetime) -> str:
    """The time zone of a summary's times, as its abbreviation at `time`."""
    if summary.opened is None or not summary.opened.zone:
        return "UTC; local time is not on the record"
    return f"{time:%Z}"
