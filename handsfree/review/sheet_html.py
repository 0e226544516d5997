"""The sheet as one page of HTML: no script, nothing fetched, made to be printed on A4."""

from markupsafe import Markup

from handsfree.review import lane_drawing, words
from handsfree.review.sheet import Sheet

_LONGEST_WHOLE = 24  # letters; there is room for them beside a label


def sheet_page(sheet: Sheet) -> str:
    """The whole file. Every text of the task is escaped, in the page and in its style."""
    from jinja2 import Environment, PackageLoader, StrictUndefined

    environment = Environment(
        loader=PackageLoader("handsfree.review", "."),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters["css_string"] = css_string
    environment.filters["whole"] = whole
    environment.filters["mm"] = lambda length: f"{length:.2f}"
    page = environment.get_template("sheet.html.jinja")
    return page.render(
        sheet=sheet, blocks=lane_drawing.draw(sheet), drawing=lane_drawing, words=words
    )


def whole(text: str) -> Markup:
    """`text`, escaped, with its words that have a hyphen kept on one line, such as a part number.

    A number that is broken after its hyphen is easily read as two. Very long ones must break.
    """
    words = text.split(" ")
    return Markup(" ").join(
        Markup('<bdi class="whole">{}</bdi>').format(word)
        if "-" in word and len(word) <= _LONGEST_WHOLE
        else word
        for word in words
    )


def css_string(text: str) -> Markup:
    """`text` as a CSS string that can stand in a style element.

    All but plain letters, figures and spaces are written as escapes (CSS Syntax Level 3, 4.3.7), so
    that no text can end the string or the element: HTML escaping does not work in there.
    """
    safe = "".join(
        each if (each.isascii() and each.isalnum()) or each == " " else f"\\{ord(each):x} "
        for each in text
    )
    return Markup(f'"{safe}"')
