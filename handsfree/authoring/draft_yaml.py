"""A draft as the text of a task file, with comments, that `check` refuses until it is settled.

A draft must never be taken for a task: what a machine cannot know, such as the phrase that confirms
a step or a limit, is an open `todo`, and a task file with a `todo` is refused by `check` and `run`
alike. A comment would be easier to overlook, and tools lose comments.
"""

import re
from collections.abc import Iterable, Iterator
from pathlib import PurePath

import yaml

from handsfree.authoring.draft import Draft, DraftStep, Item
from handsfree.authoring.names import as_identifier
from handsfree.authoring.xml_tree import ModuleRefused
from handsfree.task.repeat import MOST_STEPS
from handsfree.task.source import LARGEST_CHARACTERS
from handsfree.task.step import LONGEST_INSTRUCTION_WORDS
from handsfree.visible import visible

# What an order says was done, where the order itself gives the words.
_DONE = {
    "attach": "attached",
    "close": "closed",
    "connect": "connected",
    "disconnect": "disconnected",
    "fit": "fitted",
    "install": "installed",
    "lock": "locked",
    "open": "open",
    "remove": "removed",
    "unlock": "unlocked",
}
_SIMPLE_ORDER = re.compile(rf"({'|'.join(_DONE)}) the ([a-z]+(?: [a-z]+){{0,3}})\.?", re.IGNORECASE)


def draft_yaml(draft: Draft) -> str:
    """The whole file; raises ModuleRefused where it would be more than `check` reads."""
    if len(draft.steps) > MOST_STEPS:
        raise _too_large(draft, f"{len(draft.steps):,} steps", f"{MOST_STEPS:,}")
    text = "\n".join(_lines(draft)) + "\n"
    if len(text) > LARGEST_CHARACTERS:
        raise _too_large(draft, f"{len(text):,} characters", f"{LARGEST_CHARACTERS:,}")
    return text


def _too_large(draft: Draft, found: str, most: str) -> ModuleRefused:
    what = f"the draft would have {found}, and a task has at most {most}"
    return ModuleRefused(draft.module, 1, what, "Split the module")


def _lines(draft: Draft) -> Iterator[str]:
    yield f"# A DRAFT, made by 'handsfree import' from {visible(PurePath(draft.module).name)}"
    yield "# A person must compare each line with the data module, which outranks this file, and"
    yield "# settle each 'todo'. Until then, check and run refuse it."
    yield "todo:"
    for text in _open_points(draft):
        yield f"  - {_scalar(text)}"
    yield f"task: {as_identifier(draft.code) or 'draft'}"
    yield f"title: {_scalar(draft.title)}"
    yield 'revision: "0" # of this file'
    yield "approved_data:"
    yield f"  reference: {_scalar(draft.code)}"
    yield f"  revision: {_scalar(draft.issue)}"
    yield "applicability:"
    yield f"  aircraft: {_scalar(draft.aircraft or 'not given')}"
    yield f"  component: {_scalar(draft.component or 'not given')}"
    yield from _listed("warning", draft.warnings)
    if draft.equipment:
        yield "equipment:"
        for item in draft.equipment:
            yield f"  - name: {_scalar(_in_words(item))}"
    if draft.parts:
        yield "parts:"
        for item in draft.parts:
            yield f"  - name: {_scalar(_in_words(item, number=False))}"
            yield f"    number: {_scalar(item.part_number or 'not given')}"
    yield from _listed("consumables", map(_in_words, draft.consumables))
    yield ""
    yield "steps:"
    for number, step in enumerate(draft.steps, 1):
        yield from _step(number, step)
    if draft.left:
        yield ""
        yield "# Not taken over, by line of the module:"
        for left in draft.left:
            yield f"# {left.line}: {visible(left.path)}: {visible(left.text)}"


def _open_points(draft: Draft) -> Iterator[str]:
    yield "compare each line with the data module, which a machine took over"
    yield "add states, needs, sets and never rules, of which a data module has none"
    if draft.equipment:
        yield "say with 'calibrated' which equipment carries a calibration date"
    if not draft.aircraft:
        yield "say in applicability which aircraft it may be used on"
    if not draft.component:
        yield "say in applicability which component it is for"
    if any(not item.part_number for item in draft.parts):
        yield "give each part its number"
    for left in draft.left:
        if not left.attribute and any(each.name in ("warning", "caution") for each in left.within):
            yield f"put in what line {left.line} of the module warns of, which was not taken over"
    if draft.left:
        yield f"read the {len(draft.left)} things that were not taken over, listed at the end"


def _step(number: int, step: DraftStep) -> Iterator[str]:
    if step.heading:
        yield f"  # ---- {visible(step.heading)}"
    yield f"  - id: step-{number} # line {step.line} of the module, {step.place}"
    yield from _listed("warning", step.warnings, "    ")
    yield from _listed("caution", step.cautions, "    ")
    yield from _listed("note", step.notes, "    ")
    yield f"    instruction: {_scalar(step.instruction)}"
    proposal = _proposal(step.instruction)
    if proposal:
        yield f"    # expect: {{confirm: {proposal}}} # proposed from the words of the instruction"
    yield from _listed("todo", _open_points_of(step), "    ")


def _open_points_of(step: DraftStep) -> Iterator[str]:
    if not step.place.startswith("step"):
        yield f"write this {step.place} as an order"
    if step.is_long:
        count = len(step.instruction.split())
        yield f"split the instruction, which has {count} words of {LONGEST_INSTRUCTION_WORDS}"
    for left in step.left:
        yield f"see line {left.line} of the module, {left.what}, not taken over"
    yield "say with 'expect' what must be heard, and the limits of a value"


def _proposal(instruction: str) -> str:
    simple = _SIMPLE_ORDER.fullmatch(instruction)
    return "" if simple is None else f"{simple[2].lower()} {_DONE[simple[1].lower()]}"


def _in_words(item: Item, *, number: bool = True) -> str:
    known = [item.name or "not named"]
    if number and item.part_number:
        known.append(f"part number {item.part_number}")
    if item.quantity:
        known.append(f"quantity {item.quantity}")
    return ", ".join(known)


def _listed(key: str, texts: Iterable[str], indent: str = "") -> Iterator[str]:
    texts = list(texts)
    if texts:
        yield f"{indent}{key}:"
        for text in texts:
            yield f"{indent}  - {_scalar(text)}"


def _scalar(text: str) -> str:
    """`text` as one YAML scalar, in quotes where it needs them."""
    written: str = yaml.safe_dump(text, allow_unicode=True, width=float("inf"))
    return written.removesuffix("\n").removesuffix("\n...")
