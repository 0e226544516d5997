"""A data module becomes a draft: nothing of it is lost, and nothing takes the draft for a task."""

import re
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator
from lxml import etree

from handsfree.authoring.data_module import read_module
from handsfree.authoring.draft import Draft
from handsfree.authoring.draft_yaml import draft_yaml
from handsfree.authoring.schema import task_schema
from handsfree.authoring.xml_tree import ModuleRefused
from handsfree.task.problems import TaskFileError
from handsfree.task.read import read_task
from handsfree.task.repeat import MOST_STEPS
from tests.how_many import examples

TASKS = Path(__file__).parents[2] / "tasks"
(SAMPLE,) = TASKS.glob("DMC-*.xml")
MODULE = SAMPLE.read_text(encoding="utf-8")


def imported(text: str) -> Draft:
    return read_module(text.encode(), "m.xml")


def mend(old: str, new: str) -> str:
    assert MODULE.count(old) >= 1, old
    return MODULE.replace(old, new, 1)


def refusal(text: str) -> str:
    with pytest.raises(ModuleRefused) as caught:
        imported(text)
    return str(caught.value)


def loaded(draft: Draft) -> dict[str, Any]:
    """The draft as data, read by PyYAML: what stands in comments does not count."""
    found: dict[str, Any] = yaml.safe_load(draft_yaml(draft))
    return found


def values(part: Any) -> Iterator[str]:
    """Every text of a draft, but for what is still to do."""
    match part:
        case dict():
            for key, value in part.items():
                if key != "todo":
                    yield from values(value)
        case list():
            for value in part:
                yield from values(value)
        case str():
            yield part


# ---- What becomes of the parts.


def test_identity_comes_from_the_code_the_issue_and_the_names() -> None:
    draft = loaded(imported(MODULE))
    assert draft["task"] == "dmc-quillane40-a-29-30-00-00a-214a-a"
    assert draft["title"] == "Cargo door accumulator, Fill with nitrogen"
    assert draft["approved_data"] == {
        "reference": "DMC-QUILLANE40-A-29-30-00-00A-214A-A",
        "revision": "002-00 of 2026-03-09",
    }
    # S1000D, chap 4.3 (from memory): the file of a data module is named after its code.
    assert SAMPLE.name.startswith(draft["approved_data"]["reference"])


def test_preliminary_requirements_become_lists() -> None:
    draft = loaded(imported(MODULE))
    assert draft["warning"] == ["Keep clear of the cargo door. It can move and crush you."]
    assert draft["equipment"] == [
        {"name": "Nitrogen cart with hose, part number VK-9120, quantity 1 EA"},
        {"name": "Contact thermometer, 1 degC steps, quantity 1 EA"},
    ]
    assert draft["parts"] == [
        {"name": "Seal of the charging valve, quantity 1 EA", "number": "VK-7316"}
    ]
    assert draft["consumables"] == ["Dry nitrogen"]


def test_conditions_steps_and_closing_requirements_are_steps_in_their_order() -> None:
    draft = imported(MODULE)
    assert [step.place for step in draft.steps] == [
        "required condition",
        *("step 1.1", "step 1.2", "step 2.1", "step 2.2", "step 2.3", "step 2.4"),
        *("step 2.5", "step 2.5", "closing requirement"),
    ]
    for step in draft.steps:
        first_word = step.instruction.split()[0]
        assert first_word in MODULE.splitlines()[step.line - 1]


def test_warnings_cautions_and_notes_stand_before_their_instruction() -> None:
    steps = loaded(imported(MODULE))["steps"]
    said = [(step.get("warning"), step.get("caution"), step.get("note")) for step in steps]
    assert said[0][1] == ["Keep dirt away from the charging valve. It can damage the seal."]
    assert said[2][2] == ["The gas and the body have one temperature after two hours."]
    assert said[3][0] == ["Use only nitrogen. Other gases can explode and kill you."]
    assert said[4][0] == ["Open the valve slowly. High-pressure gas can injure you."]


def test_a_warning_of_a_group_of_steps_is_said_before_the_first_of_them() -> None:
    title = "<title>Fill the accumulator</title>"
    warning = "<warning><warningAndCautionPara>Look out.</warningAndCautionPara></warning>"
    steps = loaded(imported(mend(title, title + warning)))["steps"]
    assert steps[3]["warning"][0] == "Look out."


def test_a_warning_below_the_steps_it_stands_with_is_left_for_a_person() -> None:
    note = "<note><notePara>Too late.</notePara></note>"
    late = mend("        </proceduralStep>\n      </mainProcedure>",
                f"        {note}</proceduralStep>\n      </mainProcedure>")  # fmt: skip
    assert "Too late." in [left.text for left in imported(late).left]


def test_a_warning_that_was_not_taken_whole_is_named_first_of_all() -> None:
    """A list in a warning has no place in a task file, but must not be overlooked."""
    listed = "<attentionSequentialList>Gas</attentionSequentialList></warning>"
    draft = loaded(imported(mend("</warning>", listed)))
    assert "put in what line 95 of the module warns of, which was not taken over" in draft["todo"]


def test_a_long_instruction_is_kept_whole_and_listed() -> None:
    draft = imported(MODULE)
    (long,) = draft.long_steps
    assert long.place == "step 2.3"
    todo = loaded(draft)["steps"][5]["todo"]
    assert todo[0] == "split the instruction, which has 24 words of 20"
    assert loaded(draft)["steps"][5]["instruction"] == long.instruction


def test_a_sentence_does_not_close_over_what_was_not_taken() -> None:
    """A raised 2 is no figure of the number before it, and a reference is no word."""
    value = "<para>Set 10<superScript>2</superScript> bar.</para>"
    draft = imported(mend("<para>Install the charging hose.</para>", value))
    assert re.fullmatch(
        r"Set 10 \[line \d+: superScript\] bar\.", loaded(draft)["steps"][3]["instruction"]
    )


def test_what_is_left_of_a_step_is_named_in_the_step() -> None:
    steps = loaded(imported(MODULE))["steps"]
    check, figure = "proceduralStep@independentCheck", "graphic@infoEntityIdent"
    assert any(check in each for each in steps[4]["todo"])
    assert any(figure in each for each in steps[5]["todo"])


def test_a_phrase_is_proposed_only_in_a_comment() -> None:
    draft = imported(MODULE)
    assert "# expect: {confirm: charging hose removed} # proposed" in draft_yaml(draft)
    assert all("expect" not in step for step in loaded(draft)["steps"])


# ---- A draft is no task.


def test_check_refuses_the_draft_at_every_open_point() -> None:
    text = draft_yaml(imported(MODULE))
    with pytest.raises(TaskFileError) as caught:
        read_task(text, "d.yaml")
    drafts = [each for each in caught.value.problems if each.what.startswith("still a draft")]
    assert len(drafts) == 1 + len(imported(MODULE).steps)
    others = [each.what for each in caught.value.problems if each not in drafts]
    assert others == ["the instruction has 24 words"]


def test_a_settled_draft_is_a_task() -> None:
    draft = loaded(imported(MODULE))
    del draft["todo"]
    for step in draft["steps"]:
        del step["todo"]
        step["instruction"] = " ".join(step["instruction"].split()[:20])
    task = read_task(yaml.safe_dump(draft, sort_keys=False), "d.yaml")
    assert len(task.steps) == 10


def test_an_editor_has_nothing_against_a_draft_but_its_long_instruction() -> None:
    errors = list(Draft202012Validator(task_schema()).iter_errors(loaded(imported(MODULE))))
    assert [list(error.path) for error in errors] == [["steps", 5, "instruction"]]


# ---- Nothing is lost.


def tokens_for(root: "etree._Element") -> list[str]:
    """Put a word of its own in the place of every text and attribute; the words, in order."""
    made: list[str] = []

    def token() -> str:
        made.append(f"q{len(made)}z")
        return made[-1]

    for element in root.iter(etree.Element):
        for name in element.attrib:
            if element.attrib[name].strip():
                element.attrib[name] = token()
        if (element.text or "").strip():
            element.text = token()
        for child in element:
            if (child.tail or "").strip():
                child.tail = token()
    return made


NAMES = ["para", "note", "warning", "caution", "notePara", "warningAndCautionPara", "title"]
NAMES += ["proceduralStep", "figure", "reqCond", "reqCondNoRef", "reqCondGroup", "emphasis"]
NAMES += ["superScript", "quantity", "dmRef", "name", "reqQuantity", "partNumber", "closeRqmts"]
NAMES += ["mainProcedure", "randomList", "listItem", "simplePara", "nobodyKnowsThis"]


@st.composite
def modules(draw: st.DrawFn) -> bytes:
    """The sample with parts put in, copied, wrapped and taken out anywhere."""
    root = etree.fromstring(MODULE.encode())
    for _ in range(draw(st.integers(0, 8))):
        elements = list(root.iter())
        at = elements[draw(st.integers(0, len(elements) - 1))]
        match draw(st.sampled_from(["insert", "attribute", "text", "copy", "remove", "wrap"])):
            case "insert":
                new = etree.Element(draw(st.sampled_from(NAMES)))
                new.text, new.tail = draw(st.sampled_from([(None, None), ("a", "b"), ("a", None)]))
                at.insert(draw(st.integers(0, len(at))), new)
            case "attribute":
                at.set(draw(st.sampled_from(["applicRefId", "id", "xx"])), "v")
            case "text":
                at.text = (at.text or "") + " stray"
            case "copy" if at is not root and len(elements) < 400:
                at.addnext(etree.fromstring(etree.tostring(at, with_tail=False)))
            case "remove" if at is not root:
                at.getparent().remove(at)
            case "wrap" if at is not root:
                new = etree.Element(draw(st.sampled_from(NAMES)))
                at.getparent().replace(at, new)
                new.append(at)
    return bytes(etree.tostring(root))


def assert_nothing_is_lost(root: "etree._Element") -> None:
    made = tokens_for(root)
    try:
        draft = read_module(etree.tostring(root), "m.xml")
    except ModuleRefused:
        return
    mapped = " ".join(values(loaded(draft)))
    left = " ".join(each.text for each in draft.left)
    for token in made:
        assert (token in mapped) != (token in left), token


def test_every_text_and_attribute_of_the_sample_is_in_the_draft_or_listed() -> None:
    assert_nothing_is_lost(etree.fromstring(MODULE.encode()))
    assert len(tokens_for(etree.fromstring(MODULE.encode()))) > 60


@settings(max_examples=examples(100))
@given(modules())
def test_every_text_and_attribute_of_any_module_is_in_the_draft_or_listed(module: bytes) -> None:
    assert_nothing_is_lost(etree.fromstring(module))


def test_what_is_listed_is_on_the_line_that_the_list_names() -> None:
    lines = MODULE.splitlines()
    assert len(imported(MODULE).left) > 10
    for left in imported(MODULE).left:
        expected = f"<{left.within[-1].name}" if left.attribute else left.text.split()[0]
        assert expected in lines[left.line - 1]


def test_the_list_is_in_the_file_too() -> None:
    text = draft_yaml(imported(MODULE))
    for left in imported(MODULE).left:
        assert f"# {left.line}: {left.path}: {left.text}\n" in text


@settings(max_examples=examples(30))
@given(st.text(st.characters(codec="utf-8", exclude_categories=["Cc", "Cs"]), min_size=1))
def test_any_text_comes_back_as_it_was_and_breaks_no_comment(text: str) -> None:
    root = etree.fromstring(MODULE.encode())
    with suppress(ValueError):  # lxml refuses what XML does not allow
        root.find(".//techName").text = text
        root.find(".//trade").text = f"x {text}"
        draft = read_module(etree.tostring(root, encoding="utf-8"), "m.xml")
        expected = " ".join(text.split())
        with pytest.raises(TaskFileError, match="still a draft"):
            read_task(draft_yaml(draft), "d.yaml")
        assert loaded(draft)["applicability"]["component"] == (expected or "not given")


# ---- What is no procedural module.


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("<para>Measure", "<para>&nbsp;Measure", "m.xml:110: not XML: undefined entity. "),
        ("</mainProcedure>", "</procedure>", "m.xml:147: not XML: mismatched tag. "),
        ('systemCode="29"', "", "m.xml:14: dmCode has no 'systemCode'. Add the attribute."),
        ('issueNumber="002"', "", "m.xml:18: issueInfo has no 'issueNumber'. "),
        (
            "<?xml version=\"1.0\" encoding=\"UTF-8\"?>",
            "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<!DOCTYPE dmodule>",
            "m.xml:2: it has a DOCTYPE, which can declare entities. Delete the DOCTYPE, and write "
            "entities out.",
        ),
    ],
)  # fmt: skip
def test_a_malformed_module_names_its_line(old: str, new: str, message: str) -> None:
    assert refusal(mend(old, new)).startswith(message)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("<pm/>", "m.xml:1: the first element is 'pm', not 'dmodule'. Name a data module of"),
        ("<dmodule><idstatus/></dmodule>", "m.xml:1: no 'identAndStatusSection' in 'dmodule'. "),
        (
            MODULE.replace("procedure>", "description>"),
            "m.xml:41: no 'procedure' in 'content'. Name a procedural data module of S1000D",
        ),
        (
            re.sub("<mainProcedure>.*</mainProcedure>|<reqCond>[^<]*</reqCond>", "", MODULE,
                   flags=re.S),
            "m.xml:42: the procedure has no step. Name another module.",
        ),
    ],
)  # fmt: skip
def test_a_file_that_is_no_procedure_is_refused(text: str, message: str) -> None:
    assert refusal(text).startswith(message)


STEP = "<proceduralStep><para>Clean it.</para></proceduralStep>"


@pytest.mark.parametrize(
    ("more", "found"),
    [
        (STEP * (MOST_STEPS + 1), f"steps, and a task has at most {MOST_STEPS:,}"),
        (
            STEP.replace("Clean", "Clean " + "\u00e4" * 1_000_001),
            "characters, .* at most 1,000,000",
        ),
    ],
    ids=["steps", "characters"],
)
def test_no_draft_is_larger_than_check_reads(more: str, found: str) -> None:
    draft = imported(mend("</mainProcedure>", f"{more}</mainProcedure>"))
    with pytest.raises(ModuleRefused, match=rf"m\.xml:1: the draft .* {found}\. Split the module"):
        draft_yaml(draft)
