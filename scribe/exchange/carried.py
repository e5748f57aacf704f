"""A draft's own text in the files that go out, and back out of them, as long as they still say the same.

Comments, `home`, the way of writing and times in a recording have no place in other formats. The text travels in
`<miscellaneous-field>` (MusicXML) or `<extMeta>` (MEI), which other programs leave alone; it is believed only where
giving it out again says what the file says.
"""

from __future__ import annotations

import re
from dataclasses import replace

from lxml import etree

from scribe.exchange.model import Line

NAME = "scribe"
MOST = 200_000  # characters
# What XML 1.0 has no place for (its production `Char`), and a line end that its readers change.
_FOREIGN = re.compile("[\x00-\x08\x0b-\x1f\ud800-\udfff\ufffe\uffff]")
MEI = "{http://www.music-encoding.org/ns/mei}"


def carry_in_musicxml(root: etree._Element, text: str) -> None:
    """Put a draft into a partwise score. One that XML cannot hold (control characters) is left out."""
    identification = root.find("identification")
    text = text.replace("\r\n", "\n")
    if identification is None or not _fits(text):
        return
    others = identification.find("miscellaneous")
    if others is None:
        others = etree.SubElement(identification, "miscellaneous")
    etree.SubElement(others, "miscellaneous-field", name=NAME).text = text


def carry_in_mei(root: etree._Element, text: str) -> None:
    """Put a draft into the head of an MEI document. One that XML cannot hold is left out."""
    head = root.find(f"{MEI}meiHead")
    text = text.replace("\r\n", "\n")
    if head is None or not _fits(text):
        return
    made = etree.SubElement(head, f"{MEI}extMeta", analog=NAME)
    made.text = text


def carried(root: etree._Element) -> str:
    """Take the draft out of a MusicXML or MEI document; empty where there is none. Changes the document."""
    found = ""
    for each in [*root.iter("miscellaneous-field"), *root.iter(f"{MEI}extMeta")]:
        if NAME in (each.get("name"), each.get("analog")):
            found = found or each.text or ""
            parent = each.getparent()
            if parent is not None:
                parent.remove(each)
    return found if len(found) <= MOST else ""


def same_music(one: Line, other: Line) -> bool:
    """Whether two lines say the same, wherever their systems end."""
    return _bare(one) == _bare(other)


def _bare(line: Line) -> Line:
    bars = tuple(replace(bar, new_system=False, printed=(), rests=0) for bar in line.bars)
    return replace(line, bars=bars, credits=(), remarks=())


def _fits(text: str) -> bool:
    if not text.strip() or len(text) > MOST:
        return False
    return not _FOREIGN.search(text)
