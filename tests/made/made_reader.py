"""A page as a browser's parser reads it, and what no page of ours may hold."""

from __future__ import annotations

import re
from html.parser import HTMLParser

from greenrota.views.text.lettering import printable

SAFE_TAGS = {
    *(
        "html",
        "head",
        "meta",
        "title",
        "style",
        "body",
        "section",
        "h1",
        "h2",
        "p",
        "table",
        "thead",
        "tbody",
    ),
    *("tr", "th", "td", "dl", "dt", "dd", "div", "b", "span", "bdi", "header", "main", "aside", "footer"),
    *("svg", "desc", "metadata", "rect", "polyline", "line", "text", "path"),
}


def assert_harmless(page: str) -> None:
    """Only our own elements, nothing that runs and nothing from outside."""
    read = Read(page)
    assert {tag for tag, _ in read.tags} <= SAFE_TAGS
    names = {name for _, attributes in read.tags for name in attributes}
    assert not {name for name in names if name.startswith("on") or name in ("src", "href", "action")}
    assert not re.search(
        r"url\(|@import|//[a-z]", page.replace("http://www.w3.org/2000/svg", "").split("<body>")[0]
    )


class Read(HTMLParser):
    """Tags, attributes and text of a page, as a parser that knows nothing of ours sees them."""

    def __init__(self, page: str) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.text = ""
        self.feed(page)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_data(self, data: str) -> None:
        self.text += data


def shown(text: str) -> str:
    """What a text must come out as: control characters written out, the two non-characters replaced."""
    return printable(text, keep="\n").translate({0xFFFE: 0xFFFD, 0xFFFF: 0xFFFD})
