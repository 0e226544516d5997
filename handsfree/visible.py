"""Text from a file or a person, safe to show: what cannot be seen is written out.

A file may hold an escape sequence that colours or clears a terminal, or a mark that turns the
direction of the text. A reader must see it, and it must not act.
"""

from handsfree.words.seen import is_seen


def visible(text: str) -> str:
    """`text` on one line, each character that has no glyph of its own as its escape."""
    return escaped(" ".join(text.split()))


def escaped(text: str) -> str:
    """`text` with each character that has no glyph as its escape, a line break too; spaces stay."""
    if text.isascii() and text.isprintable():  # nearly all of it, and tables have millions of cells
        return text
    return "".join(
        each if is_seen(each) else each.encode("unicode_escape").decode() for each in text
    )


def visible_lines(text: str) -> str:
    """`text` with its line breaks, which are ours; else each character without a glyph escaped."""
    return "\n".join(map(escaped, text.split("\n")))
