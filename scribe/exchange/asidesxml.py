"""Asides in MusicXML and MEI: where they stand there, and how they are taken out again.

MusicXML 4.0: `<other-direction>` is for directions that the format has no element for; `print-object="no"` keeps it off
the page. MEI 5: `<annot>` in a measure is a remark that is not printed; `<extMeta>` holds what its head has no element
for. The recording is a `<miscellaneous-field>` in MusicXML.
"""

from __future__ import annotations

from collections.abc import Sequence

from lxml import etree

from scribe.exchange.asides import Asides

NAME = "scribe"
RECORDING = "recording"
MEI = "{http://www.music-encoding.org/ns/mei}"
_PREFIX = f"{NAME}: "
_BEFORE = ("print", "attributes")  # of a measure, what stays in front


def asides_in_musicxml(root: etree._Element, asides: Asides) -> None:
    """Put them into the first part of a partwise score."""
    identification = root.find("identification")
    if asides.recording and identification is not None:
        others = identification.find("miscellaneous")
        if others is None:
            others = etree.SubElement(identification, "miscellaneous")
        etree.SubElement(others, "miscellaneous-field", name=RECORDING).text = asides.recording
    for index, measure in enumerate(root.iterfind("part[1]/measure")):
        place = next((i for i, each in enumerate(measure) if each.tag not in _BEFORE), len(measure))
        for number, text in enumerate(asides.bars.get(index, ())):
            direction = etree.Element("direction")
            kind = etree.SubElement(direction, "direction-type")
            made = etree.SubElement(kind, "other-direction", {"print-object": "no"})
            made.text = _PREFIX + text
            measure.insert(place + number, direction)


def asides_in_mei(root: etree._Element, asides: Asides) -> None:
    """Put them into the measures of a document."""
    head = root.find(f"{MEI}meiHead")
    if asides.recording and head is not None:
        etree.SubElement(head, f"{MEI}extMeta", analog=f"{NAME}.{RECORDING}").text = asides.recording
    for index, measure in _numbered(root):
        for text in asides.bars.get(index, ()):
            etree.SubElement(measure, f"{MEI}annot", type=NAME).text = text


def take_asides(root: etree._Element) -> Asides:
    """Take them out of a MusicXML or MEI document, which is changed."""
    return _from_mei(root) if root.tag == f"{MEI}mei" else _from_musicxml(root)


def _from_musicxml(root: etree._Element) -> Asides:
    recording = ""
    for field in root.findall("identification/miscellaneous/miscellaneous-field"):
        if field.get("name") == RECORDING:
            recording = recording or (field.text or "").strip()
            field.getparent().remove(field)
    found: dict[int, list[str]] = {}
    for part in root.iterfind("part"):
        here: dict[int, list[str]] = {}
        for index, measure in enumerate(part.iterfind("measure")):
            for direction in measure.findall("direction"):
                said = [each.text or "" for each in direction.iterfind("direction-type/other-direction")]
                own = [text.strip()[len(_PREFIX) :] for text in said if text.strip().startswith(_PREFIX)]
                if own:
                    here.setdefault(index, []).extend(own)
                    measure.remove(direction)
        found = found or here
    return Asides(recording, found)


def _from_mei(root: etree._Element) -> Asides:
    recording = ""
    for each in list(root.iter(f"{MEI}extMeta")):
        if each.get("analog") == f"{NAME}.{RECORDING}":
            recording = recording or (each.text or "").strip()
            _remove(each)
    found: dict[int, Sequence[str]] = {}
    for index, measure in _numbered(root):
        own = [each for each in measure.findall(f"{MEI}annot") if each.get("type") == NAME]
        if own:
            found[index] = [(each.text or "").strip() for each in own]
        for each in own:
            _remove(each)
    return Asides(recording, found)


def _remove(element: etree._Element) -> None:
    parent = element.getparent()
    if parent is not None:
        parent.remove(element)


def _numbered(root: etree._Element) -> list[tuple[int, etree._Element]]:
    """The measures of an MEI document, each with its index, the bars of a long rest counted one by one."""
    out = []
    at = 0
    for measure in root.iter(f"{MEI}measure"):
        out.append((at, measure))
        many = next(measure.iter(f"{MEI}multiRest"), None)
        text = "" if many is None else many.get("num") or ""
        at += int(text) if text.isdecimal() and 0 < int(text) < 1000 else 1
    return out
