"""Reading pages as a browser does, by the HTML standard: strict where that says "parse error"."""

from __future__ import annotations

import warnings
from xml.etree.ElementTree import Element

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import html5lib


def parsed(page: str) -> Element:
    """The elements of a page; fails where the HTML standard has a parse error for it."""
    parser = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False)
    root = parser.parse(page)
    assert isinstance(root, Element)
    return root


def words(element: Element) -> str:
    """All the text in an element, on one line."""
    return " ".join("".join(element.itertext()).split())


def one(root: Element, path: str) -> Element:
    """The only element at a path."""
    [found] = root.findall(path)
    return found


def name_of(element: Element) -> str:
    """The name of an element without its namespace."""
    return element.tag.rpartition("}")[2]


SVG = "{http://www.w3.org/2000/svg}"
