"""Text from a file, safe to show: what cannot be seen is written out."""


def visible(text: str) -> str:
    """`text` on one line, each character that has no glyph of its own as its escape.

    A task file may hold an escape sequence that colours a terminal, or a mark that turns the
    direction of the text. A reviewer must see it, and it must not act.
    """
    return "".join(
        each if each.isprintable() else each.encode("unicode_escape").decode()
        for each in " ".join(text.split())
    )
