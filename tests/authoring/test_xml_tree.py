"""XML is read with its lines, within bounds, and without ever declaring an entity.

The attacks are the well-known ones that the defusedxml project lists: billion laughs, quadratic
blow-up, external entity, external DTD, parameter entity.
"""

from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree

from handsfree.authoring.xml_tree import (
    DEEPEST,
    LARGEST_BYTES,
    LONGEST_NAME,
    MOST_PARTS,
    Element,
    ModuleRefused,
    Run,
    read_xml,
)

DOCTYPE = "m.xml:1: it has a DOCTYPE, which can declare entities. "
LAUGHS = (
    '<!DOCTYPE a [<!ENTITY b "ha"><!ENTITY c "&b;&b;&b;&b;&b;&b;&b;&b;">'
    '<!ENTITY d "&c;&c;&c;&c;&c;&c;&c;&c;">]><a>&d;</a>'
)


def refusal(data: bytes | str) -> str:
    with pytest.raises(ModuleRefused) as caught:
        read_xml(data.encode() if isinstance(data, str) else data, "m.xml")
    return str(caught.value)


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (LAUGHS, DOCTYPE),
        (f'<!DOCTYPE a [<!ENTITY b "{"x" * 9999}">]><a>{"&b;" * 9999}</a>', DOCTYPE),
        ('<!DOCTYPE a [<!ENTITY b SYSTEM "file:///etc/passwd">]><a>&b;</a>', DOCTYPE),
        ('<!DOCTYPE a SYSTEM "http://127.0.0.1/a.dtd"><a/>', DOCTYPE),
        ('<!DOCTYPE a PUBLIC "-//X//Y" "a.dtd"><a/>', DOCTYPE),
        ('<!DOCTYPE a [<!ENTITY % b SYSTEM "b.dtd"> %b;]><a/>', DOCTYPE),
        ("<!DOCTYPE a><a/>", DOCTYPE),
        ("\n\n<!DOCTYPE a><a/>", "m.xml:3: it has a DOCTYPE"),
        ("<a>\n&b;</a>", "m.xml:2: not XML: undefined entity. Mend the line."),
        ("<a>\n<b>\n</a>", "m.xml:3: not XML: mismatched tag. Mend the line."),
        ("<a>\n<b", "m.xml:2: not XML: unclosed token. Mend the line."),
        ("", "m.xml:1: not XML: no element found. Mend the line."),
        ("<a/>\n<b/>", "m.xml:2: not XML: junk after document element. Mend the line."),
        ("<a>\n\x00</a>", "m.xml:2: not XML: not well-formed (invalid token). Mend the line."),
        (b"<a>\n\xff</a>", "m.xml:2: not XML: not well-formed (invalid token). Mend the line."),
        ('<?xml version="1.0" encoding="nonsense"?><a/>', "m.xml:1: "),
        ('<?xml version="1.0" encoding="gb18030"?><a/>', "m.xml:1: "),
        ("<a>" * (DEEPEST + 1), f"m.xml:1: nested deeper than {DEEPEST} elements. "),
        ("<a>" + "<b/>" * MOST_PARTS, "m.xml:1: more than 100,000 elements and attributes. "),
        (f"<{'a' * (LONGEST_NAME + 1)}/>", "m.xml:1: a name of more than 100 characters. "),
        (" " * (LARGEST_BYTES + 1), "m.xml:1: the file has 5,000,001 bytes. At most 5,000,000 "),
    ],
)
def test_what_is_dangerous_or_broken_is_refused_with_its_line(
    data: bytes | str, message: str
) -> None:
    assert refusal(data).startswith(message)


def test_every_text_keeps_the_line_of_its_first_word() -> None:
    root = read_xml(b"<a>one<b>\n\n two\n three</b>\n four</a>", "m.xml")
    one, b, four = root.content
    assert isinstance(b, Element)
    assert [one, b.content[0], four] == [
        Run("one", 1), Run("\n\n two\n three", 3), Run("\n four", 5)
    ]  # fmt: skip


def test_namespace_declarations_are_no_attributes() -> None:
    root = read_xml(b'<a xmlns="u" xmlns:x="v" x:b="1" c="2"/>', "m.xml")
    assert root.attributes == {"x:b": "1", "c": "2"}


TREES = st.recursive(
    st.text(st.sampled_from("ab \n<&é\u2028")),
    lambda inside: st.tuples(st.sampled_from("xyz"), st.lists(inside, max_size=4)),
    max_leaves=20,
).filter(lambda tree: isinstance(tree, tuple))


def built(tree: tuple[str, list[object]]) -> "etree._Element":
    element = etree.Element(tree[0], key="a<b")
    for each in tree[1]:
        if isinstance(each, tuple):
            element.append(built(each))
        elif len(element):
            element[-1].tail = (element[-1].tail or "") + str(each)
        else:
            element.text = (element.text or "") + str(each)
    return element


def events(element: Element) -> list[str]:
    found = [element.name, *element.attributes.values()]
    for each in element.content:
        found += [each.text] if isinstance(each, Run) else events(each)
    return found


def reference(element: "etree._Element") -> list[str]:
    found = [element.tag, *element.attrib.values()]
    found += [element.text] if element.text else []
    for each in element:
        found += reference(each)
        found += [each.tail] if each.tail else []
    return found


@given(TREES)
def test_texts_and_order_agree_with_libxml2(tree: tuple[str, list[object]]) -> None:
    """Reference: lxml, whose parser is not expat."""
    written = etree.tostring(built(tree), encoding="utf-8")
    assert events(read_xml(written, "m.xml")) == reference(etree.fromstring(written))


@given(st.binary(max_size=200) | st.text(max_size=200).map(str.encode))
def test_any_bytes_are_a_tree_or_refused(data: bytes) -> None:
    with suppress(ModuleRefused):
        read_xml(data, "m.xml")
