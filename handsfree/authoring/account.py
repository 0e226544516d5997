"""What of a data module was taken over, and what was not. Nothing is lost between the two.

A text or an attribute counts as left until somebody takes it: to forget a part of the module is to
list it. Comments, processing instructions and namespace declarations are no content and are not
counted.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from handsfree.authoring.xml_tree import Element, Run

# Emphasis and marks of a change carry no meaning of their own. Superscript, quantities and
# references do: "10" with a raised "2" is not 102, so they are never melted into a sentence.
MELTED = frozenset({"emphasis", "inlineSignificantData", "changeInline"})


@dataclass(frozen=True, slots=True)
class Left:
    """A text or an attribute that is not in the draft."""

    line: int
    text: str
    within: tuple[Element, ...]  # the elements that lead to it, from the root
    attribute: str = ""  # its name; "" for a text

    @property
    def path(self) -> str:
        """The elements that lead to it, and @name of an attribute."""
        return "/".join(each.name for each in self.within) + self._attribute_part

    @property
    def what(self) -> str:
        """The last part of the path."""
        return self.within[-1].name + self._attribute_part

    @property
    def _attribute_part(self) -> str:
        return f"@{self.attribute}" if self.attribute else ""


class Account:
    """Keeps what was taken from one module."""

    def __init__(self, root: Element) -> None:
        self._root = root
        self._runs: set[int] = set()
        self._attributes: set[tuple[int, str]] = set()

    def text(self, element: Element | None) -> str:
        """Take the text of `element`, on one line; "" where there is none.

        What stands in the sentence but cannot be taken leaves a mark there, such as
        "[line 87: quantity]", so that no sentence closes over a hole.
        """
        return "" if element is None else " ".join("".join(self._pieces(element)).split())

    def _pieces(self, element: Element) -> Iterator[str]:
        for each in element.content:
            match each:
                case Run():
                    self._runs.add(id(each))
                    yield each.text
                case Element(name=name) if name in MELTED:
                    yield from self._pieces(each)
                case Element() if next(self._left(each, ()), None) is not None:
                    yield f" [line {each.line}: {each.name}] "

    def attribute(self, element: Element | None, name: str) -> str:
        """Take an attribute; "" where there is none."""
        if element is None or name not in element.attributes:
            return ""
        self._attributes.add((id(element), name))
        return " ".join(element.attributes[name].split())

    def left(self) -> tuple[Left, ...]:
        """All that nobody took, in the order of the file."""
        return tuple(self._left(self._root, ()))

    def _left(self, element: Element, above: tuple[Element, ...]) -> Iterator[Left]:
        within = (*above, element)
        for name, value in element.attributes.items():
            if value.strip() and (id(element), name) not in self._attributes:
                yield Left(element.line, " ".join(value.split()), within, name)
        for each in element.content:
            if isinstance(each, Element):
                yield from self._left(each, within)
            elif each.text.strip() and id(each) not in self._runs:
                yield Left(each.line, " ".join(each.text.split()), within)
