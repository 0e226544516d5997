"""Whether a voice at a microphone is that of another person, who has a microphone of their own."""

from collections.abc import Iterable

from handsfree.hearing.live.channel import Channel


def is_crosstalk(channels: Iterable[Channel], channel: Channel, first: int, end: int) -> bool:
    """Whether the frames `first` to `end` of `channel` are louder at another one of `channels`."""
    ago_first, ago_end = channel.frames_seen - first, channel.frames_seen - end
    level = channel.level_dbfs(first, end)
    before = True  # one headset on both channels is as loud on both: the first one counts
    for other in channels:
        if other is channel:
            before = False
            continue
        theirs = other.level_dbfs(
            max(0, other.frames_seen - ago_first), max(0, other.frames_seen - ago_end)
        )
        if theirs > level or (before and theirs == level):
            return True
    return False
