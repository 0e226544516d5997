"""A procedural data module of S1000D, issue 4 or 5, as a draft of a task.

Source of the names: S1000D, the international specification for technical publications, issues 4.1
and 5.0, flat XML, schema `proced.xsd`. They are from memory and from published examples; no schema
of the specification is part of this project, and a module is not validated against one.

What has a place in a task file is taken, word for word. All else is left, and listed.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field

from handsfree.authoring.account import Account, Left
from handsfree.authoring.draft import Draft, DraftStep, Item
from handsfree.authoring.xml_tree import Element, ModuleRefused, read_xml

_BEFORE = ("warning", "caution", "note")
_DM_CODE = (
    ("modelIdentCode",),
    ("systemDiffCode",),
    ("systemCode",),
    ("subSystemCode", "subSubSystemCode"),
    ("assyCode",),
    ("disassyCode", "disassyCodeVariant"),
    ("infoCode", "infoCodeVariant"),
    ("itemLocationCode",),
)


def read_module(data: bytes, name: str) -> Draft:
    """Take a module over; `name` is how errors call it. Raises ModuleRefused."""
    root = read_xml(data, name)
    if root.name != "dmodule":
        raise ModuleRefused(
            name,
            root.line,
            f"the first element is '{root.name}', not 'dmodule'",
            "Name a data module of S1000D issue 4 or 5",
        )
    return _Reader(root, name).draft()


@dataclass(slots=True)
class _Making:
    """A step that is still being made."""

    place: str
    line: int
    instruction: str
    heading: str
    before: dict[str, list[str]] = field(default_factory=lambda: {key: [] for key in _BEFORE})
    left: list[Left] = field(default_factory=list)

    def made(self) -> DraftStep:
        warnings, cautions, notes = (tuple(self.before[key]) for key in _BEFORE)
        return DraftStep(
            self.place, self.line, self.instruction, self.heading,
            warnings, cautions, notes, tuple(self.left),
        )  # fmt: skip


class _Reader:
    def __init__(self, root: Element, name: str) -> None:
        self._root = root
        self._name = name
        self._account = Account(root)
        self._steps: list[_Making] = []
        self._made: dict[Element, _Making] = {}  # where a person looks for what an element says
        self._waiting: list[Element] = []  # warnings and the like, until their step comes
        self._open: list[Element] = []  # the steps of the module that we are in
        self._heading = ""

    def draft(self) -> Draft:
        section = self._needed(self._root, "identAndStatusSection")
        address = self._needed(section, "dmAddress")
        ident = self._needed(address, "dmIdent")
        procedure = self._needed(self._needed(self._root, "content"), "procedure")
        title = address.first("dmAddressItems", "dmTitle")
        tech_name = self._first_text(title, "techName")
        info_name = self._first_text(title, "infoName")
        preliminary = procedure.first("preliminaryRqmts")
        warnings = self._safety(preliminary)
        self._conditions(preliminary, "required condition")
        for at, step in enumerate(procedure.all("mainProcedure", "proceduralStep"), 1):
            self._step(step, str(at))
        self._conditions(procedure.first("closeRqmts"), "closing requirement")
        if not self._steps:
            raise ModuleRefused(
                self._name, procedure.line, "the procedure has no step", "Name another module"
            )
        equipment = self._items(preliminary, "reqSupportEquips", "supportEquip")
        parts = self._items(preliminary, "reqSpares", "spare")
        consumables = self._items(preliminary, "reqSupplies", "supply")
        code, issue, aircraft = self._code(ident), self._issue(address), self._applicability()
        left = self._account.left()  # last: what nobody took until here
        self._give_to_steps(left)
        return Draft(
            module=self._name,
            code=code,
            issue=issue,
            title=", ".join(filter(None, (tech_name, info_name))) or code,
            aircraft=aircraft,
            component=tech_name,
            warnings=warnings,
            equipment=equipment,
            parts=parts,
            consumables=consumables,
            steps=tuple(step.made() for step in self._steps),
            left=left,
        )

    def _needed(self, above: Element, name: str) -> Element:
        found = above.first(name)
        if found is None:
            raise ModuleRefused(
                self._name,
                above.line,
                f"no '{name}' in '{above.name}'",
                "Name a procedural data module of S1000D issue 4 or 5",
            )
        return found

    def _first_text(self, above: Element | None, *path: str) -> str:
        return self._account.text(None if above is None else above.first(*path))

    def _code(self, ident: Element) -> str:
        code = self._needed(ident, "dmCode")
        for part in (each for group in _DM_CODE for each in group):
            if not code.attributes.get(part, "").strip():
                raise ModuleRefused(
                    self._name, code.line, f"dmCode has no '{part}'", "Add the attribute"
                )
        groups = (
            "".join(self._account.attribute(code, each) for each in group) for group in _DM_CODE
        )
        return "-".join(("DMC", *groups))

    def _issue(self, address: Element) -> str:
        info = self._needed(self._needed(address, "dmIdent"), "issueInfo")
        number = self._account.attribute(info, "issueNumber")
        if not number:
            raise ModuleRefused(
                self._name, info.line, "issueInfo has no 'issueNumber'", "Add the attribute"
            )
        issue = "-".join(filter(None, (number, self._account.attribute(info, "inWork"))))
        date = address.first("dmAddressItems", "issueDate")
        day = "-".join(
            filter(None, (self._account.attribute(date, each) for each in ("year", "month", "day")))
        )
        return f"{issue} of {day}" if day else issue

    def _applicability(self) -> str:
        shown = self._root.all(
            "identAndStatusSection", "dmStatus", "applic", "displayText", "simplePara"
        )
        return " ".join(filter(None, map(self._account.text, shown)))

    def _items(self, preliminary: Element | None, group: str, kind: str) -> tuple[Item, ...]:
        if preliminary is None:
            return ()
        return tuple(
            Item(
                self._first_text(each, "name"),
                self._first_text(each, "identNumber", "partAndSerialNumber", "partNumber"),
                self._quantity(each.first("reqQuantity")),
            )
            for each in preliminary.all(group, f"{kind}DescrGroup", f"{kind}Descr")
        )

    def _quantity(self, quantity: Element | None) -> str:
        number = self._account.text(quantity)
        return " ".join(filter(None, (number, self._account.attribute(quantity, "unitOfMeasure"))))

    def _safety(self, preliminary: Element | None) -> tuple[str, ...]:
        """Warnings of the whole task; cautions and notes wait for the first step."""
        if preliminary is None:
            return ()
        warnings = []
        for each in (e for s in preliminary.all("reqSafety", "safetyRqmts") for e in s.elements):
            if each.name == "warning":
                warnings.append(self._said_before(each))
            elif each.name in _BEFORE:
                self._waiting.append(each)
        return tuple(filter(None, warnings))

    def _said_before(self, element: Element) -> str:
        para = "notePara" if element.name == "note" else "warningAndCautionPara"
        return " ".join(filter(None, map(self._account.text, element.all(para))))

    def _conditions(self, above: Element | None, place: str) -> None:
        if above is None:
            return
        self._heading = ""
        for kind in (kind for group in above.all("reqCondGroup") for kind in group.elements):
            for condition in kind.all("reqCond"):
                self._add(condition, kind, place)

    def _step(self, element: Element, number: str) -> None:
        heading = element.first("title")
        if heading is not None:
            # Only a heading, in a comment: a title is no order. So it stays on the list as well.
            self._heading = f"{number} {_plain(heading)}"
        self._open.append(element)
        sub = 0
        for each in element.elements:
            if each.name in _BEFORE:
                self._waiting.append(each)
            elif each.name == "para":
                self._add(each, element, f"step {number}")
            elif each.name == "proceduralStep":
                sub += 1
                self._step(each, f"{number}.{sub}")
        self._open.pop()
        if sub:
            # A warning below the steps that it stands with comes too late: a person must place it.
            late = set(element.elements)
            self._waiting = [each for each in self._waiting if each not in late]
        elif element in self._made:
            # What stands below the paragraph is still said before the instruction.
            self._say_before(self._made[element])

    def _add(self, said: Element, of: Element, place: str) -> None:
        instruction = self._account.text(said)
        if not instruction:
            return
        step = _Making(place, said.line, instruction, self._heading)
        self._say_before(step)
        self._steps.append(step)
        self._made[of] = step
        for each in self._open:
            self._made.setdefault(each, step)
        self._heading = ""

    def _say_before(self, step: _Making) -> None:
        for each in self._waiting:
            text = self._said_before(each)
            if text:
                step.before[each.name].append(text)
        self._waiting.clear()

    def _give_to_steps(self, left: tuple[Left, ...]) -> None:
        for each in left:
            if each.what.endswith("@id") or each.path.endswith("proceduralStep/title"):
                continue  # a name within the module; a heading, which the draft shows
            owner = next((e for e in reversed(each.within) if e in self._made), None)
            if owner is not None:
                self._made[owner].left.append(each)


def _plain(element: Element) -> str:
    return " ".join(" ".join(_runs(element)).split())


def _runs(element: Element) -> Iterator[str]:
    for each in element.content:
        if isinstance(each, Element):
            yield from _runs(each)
        else:
            yield each.text
