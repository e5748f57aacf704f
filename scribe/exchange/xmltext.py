"""Texts and numbers of XML elements, whatever stands there."""

from __future__ import annotations

import re
from fractions import Fraction

from lxml import etree

# Digits that are written out: `1e999999999` is a number too, and takes all memory to say.
_DECIMAL = re.compile(r"-?(?:\d{1,9}(?:\.\d{0,9})?|\.\d{1,9})")


def text_of(element: etree._Element) -> str:
    """Return all text in an element, in one line."""
    return one_line("".join(str(part) for part in element.itertext()))


def one_line(text: str) -> str:
    """Return a text with single blanks between its words."""
    return " ".join(text.split())


def whole(text: str | None) -> int | None:
    """Return a whole number; None where there is none."""
    try:
        return int((text or "").strip())
    except ValueError:
        return None


def decimal(text: str | None) -> Fraction | None:
    """Return a decimal number of up to nine digits on either side of its point; None where there is none."""
    typed = (text or "").strip()
    return Fraction(typed) if _DECIMAL.fullmatch(typed) else None


def staves(part: etree._Element) -> int:
    """Return how many staves a part of MusicXML has; music21 makes a part of each."""
    return max((whole(each.text) or 1 for each in part.iterfind("measure/attributes/staves")), default=1)
