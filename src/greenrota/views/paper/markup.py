"""Elements of HTML and SVG as functions: every text and attribute is escaped unless it is markup already."""

from __future__ import annotations

from html import escape

from greenrota.views.text.lettering import printable

_VOID = frozenset({"meta", "br"})  # HTML elements without an end tag, as far as they are used here
_NOT_XML = str.maketrans("\ufffe\uffff", "\ufffd\ufffd")  # no characters of XML 1.0 (section 2.2)


class Markup(str):
    """Text that is markup already and goes into the page as it stands."""

    __slots__ = ()


def escaped(value: object) -> Markup:
    """A value as markup: `Markup` as it stands, everything else escaped and without control characters.

    >>> escaped("<b>"), escaped(Markup("<b>"))
    ('&lt;b&gt;', '<b>')
    """
    if isinstance(value, Markup):
        return value
    return Markup(escape(printable(str(value), keep="\n").translate(_NOT_XML), quote=True))


def element(tag: str, *children: object, **attributes: object) -> Markup:
    """An element with children and attributes; None as a child or an attribute is left out.

    A trailing underscore of an attribute is dropped and inner ones become hyphens: `class_`, `stroke_width`.

    >>> element("p", "a < b", class_="x", id=None)
    '<p class="x">a &lt; b</p>'
    """
    given = "".join(
        f' {name.rstrip("_").replace("_", "-")}="{escaped(value)}"'
        for name, value in attributes.items()
        if value is not None
    )
    if tag in _VOID:
        return Markup(f"<{tag}{given}>")
    inner = "".join(escaped(child) for child in children if child is not None)
    return Markup(f"<{tag}{given}>{inner}</{tag}>")
