"""Text from a file or a person, safe to show: what cannot be seen is written out.

A file may hold an escape sequence that colours or clears a terminal, or a mark that turns the
direction of the text. A reader must see it, and it must not act.
"""

from handsfree.words.seen import is_seen


def visible(text: str) -> str:
    """`text` on one line, each character that has no glyph of its own as its escape."""
    return escaped(" ".join(text.split()))


def escaped(text: str) -> str:
    """The same with every space as it stands; a line break is written out too."""
    return "".join(
        each if is_seen(each) else each.encode("unicode_escape").decode() for each in text
    )


def visible_lines(text: str) -> str:
    """The same of a text whose line breaks are ours, such as a message of several lines."""
    return "\n".join(map(escaped, text.split("\n")))
