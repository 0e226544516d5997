"""An XML file as a small tree in which every text keeps its line.

The parser is expat, of the standard library, with the doors shut: a DOCTYPE is refused at its first
word, so no entity is ever declared, expanded or fetched; size, depth and the number of parts have
an end. Other parsers would do that too, but they forget on which line a text stood.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from xml.parsers import expat

from handsfree.errors import HandsfreeError

LARGEST_BYTES = 5_000_000
DEEPEST = 64
MOST_PARTS = 100_000  # elements and attributes
LONGEST_NAME = 100


class ModuleRefused(HandsfreeError):
    """A data module that cannot be taken over; says the line and what to do."""

    exit_code = 2

    def __init__(self, name: str, line: int, what: str, instead: str) -> None:
        super().__init__(f"{name}:{line}: {what}. {instead}.")


@dataclass(frozen=True, slots=True)
class Run:
    """Text between two tags."""

    text: str
    line: int  # of its first character that is not white space


@dataclass(frozen=True, slots=True, eq=False)
class Element:
    """One element; two are equal only if they are the same place in the file."""

    name: str  # as written, with its prefix
    line: int
    attributes: dict[str, str]  # without namespace declarations, which say nothing of the work
    content: list["Element | Run"] = field(default_factory=list)

    @property
    def elements(self) -> Iterator["Element"]:
        """The elements in it, not those deeper."""
        return (each for each in self.content if isinstance(each, Element))

    def all(self, *path: str) -> Iterator["Element"]:
        """Every element at `path` below this one, in the order of the file."""
        if not path:
            yield self
            return
        for each in self.elements:
            if each.name == path[0]:
                yield from each.all(*path[1:])

    def first(self, *path: str) -> "Element | None":
        """The first element at `path` below this one, if there is one."""
        return next(self.all(*path), None)


def read_xml(data: bytes, name: str) -> Element:
    """The root of the file; `name` is how errors call it. Raises ModuleRefused."""
    if len(data) > LARGEST_BYTES:
        raise ModuleRefused(
            name, 1, f"the file has {len(data):,} bytes", f"At most {LARGEST_BYTES:,} are read"
        )
    return _Builder(name).build(data)


class _Builder:
    def __init__(self, name: str) -> None:
        self._name = name
        self._open: list[Element] = []
        self._root: Element | None = None
        self._parts = 0
        self._text: list[str] = []
        self._text_line = 0
        self._parser = parser = expat.ParserCreate()
        parser.StartElementHandler = self._start
        parser.EndElementHandler = self._end
        parser.CharacterDataHandler = self._characters
        parser.StartDoctypeDeclHandler = self._doctype

    def build(self, data: bytes) -> Element:
        try:
            self._parser.Parse(data, True)
        except expat.ExpatError as error:
            problem = expat.ErrorString(error.code) or str(error)
            raise ModuleRefused(
                self._name, error.lineno, f"not XML: {problem}", "Mend the line"
            ) from error
        except (LookupError, ValueError) as error:  # an encoding that Python does not have
            raise ModuleRefused(
                self._name, 1, f"the encoding is not known ({error})", "Save it as UTF-8"
            ) from error
        assert self._root is not None  # expat refuses a file without an element
        return self._root

    def _refuse(self, what: str, instead: str) -> ModuleRefused:
        return ModuleRefused(self._name, self._parser.CurrentLineNumber, what, instead)

    def _doctype(self, *_: object) -> None:
        raise self._refuse(
            "it has a DOCTYPE, which can declare entities",
            "Delete the DOCTYPE, and write entities out",
        )

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        self._end_of_run()
        self._parts += 1 + len(attributes)
        if self._parts > MOST_PARTS:
            raise self._refuse(f"more than {MOST_PARTS:,} elements and attributes", "Split it")
        if max(map(len, (name, *attributes))) > LONGEST_NAME:
            raise self._refuse(
                f"a name of more than {LONGEST_NAME} characters", "The specification has none"
            )
        if len(self._open) >= DEEPEST:
            raise self._refuse(
                f"nested deeper than {DEEPEST} elements", "A procedure is never that deep"
            )
        kept = {
            key: value
            for key, value in attributes.items()
            if key != "xmlns" and not key.startswith("xmlns:")
        }
        element = Element(name, self._parser.CurrentLineNumber, kept)
        if self._open:
            self._open[-1].content.append(element)
        else:
            self._root = element
        self._open.append(element)

    def _end(self, _name: str) -> None:
        self._end_of_run()
        self._open.pop()

    def _characters(self, text: str) -> None:
        if not self._text_line and not text.isspace():
            self._text_line = self._parser.CurrentLineNumber
        self._text.append(text)

    def _end_of_run(self) -> None:
        text = "".join(self._text)
        if self._open and text:
            line = self._text_line or self._parser.CurrentLineNumber
            self._open[-1].content.append(Run(text, line))
        self._text.clear()
        self._text_line = 0
