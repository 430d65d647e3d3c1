"""Markup: whatever is put in comes out as text, for a browser's parser and for an XML parser."""

from __future__ import annotations

from xml.etree import ElementTree

from hypothesis import given
from hypothesis import strategies as st
from made_reader import Read, shown

from greenrota.views.paper.markup import Markup, element, escaped

ANYTHING = st.text(max_size=40)


@given(ANYTHING, ANYTHING)
def test_html_gives_back_text_and_attribute(text: str, attribute: str) -> None:
    read = Read(element("p", text, title=attribute))
    assert read.tags == [("p", {"title": shown(attribute)})]
    assert read.text == shown(text)


@given(ANYTHING, ANYTHING)
def test_xml_gives_back_text_and_attribute(text: str, attribute: str) -> None:
    node = ElementTree.fromstring(element("p", text, title=attribute.replace("\n", " ")))
    assert (node.text or "", node.get("title")) == (shown(text), shown(attribute.replace("\n", " ")))


@given(ANYTHING)
def test_markup_is_not_escaped_twice(text: str) -> None:
    assert escaped(escaped(text)) == escaped(text)
    assert isinstance(escaped(text), Markup)
