"""What is in force in MEI, said in attributes, and sections in one row: as music21 knows them."""

from __future__ import annotations

from fractions import Fraction

from lxml import etree

from scribe.exchange.xmltext import decimal, whole
from scribe.music.interval import Interval, usual

NS = "{http://www.music-encoding.org/ns/mei}"
LINES = {"G": "2", "F": "4", "C": "3"}  # where a clef stands when nothing is said
SIGNS = {"common": ("4", "4"), "cut": ("2", "2")}  # metres that a sign alone names
FURTHEST = 16  # fifths that a transposition leads away, read in the enharmonic key too
UNITS = ("1", "2", "4", "8", "16", "32")


def plain_definitions(root: etree._Element) -> None:
    """Say clefs, signatures and metres in the attributes of `scoreDef` and `staffDef`.

    Since MEI 4 they are elements of their own as a rule; music21 reads the attributes only.
    """
    for each in list(root.iter(f"{NS}scoreDef", f"{NS}staffDef")):
        for name, found in (("clef", _clef), ("keySig", _key), ("meterSigGrp", _group), ("meterSig", _metre)):
            sign = next((c for c in each.iterchildren(f"{NS}{name}", f"{NS}layerDef") if _is(c, name)), None)
            if sign is not None:
                for attribute, value in found(sign).items():
                    if value and not each.get(attribute):
                        each.set(attribute, value)
                if name != "meterSigGrp":
                    each.remove(sign)
        _older_names(each)
        if each.get("clef.shape") == "GG":
            each.attrib.update({"clef.shape": "G", "clef.dis": "8", "clef.dis.place": "below"})
        shape = each.get("clef.shape") or ""
        if shape in LINES and not each.get("clef.line"):
            each.set("clef.line", LINES[shape])
        if each.get("meter.count") and each.get("meter.unit") not in UNITS:
            each.attrib.pop("meter.count")
            each.attrib.pop("meter.unit", None)


def _is(element: etree._Element, name: str) -> bool:
    return bool(element.tag == f"{NS}{name}")


def _older_names(element: etree._Element) -> None:
    """MEI 5 calls `key.sig` `keysig`; music21 knows the older name, and no transposition by nothing."""
    semitones, steps = decimal(element.get("trans.semi")), decimal(element.get("trans.diat"))
    for name in ("trans.semi", "trans.diat"):
        element.attrib.pop(name, None)
    if semitones:
        said = Interval(int(steps or 0), int(semitones))
        if steps is None or abs(said.fifths) > FURTHEST:  # some programs count its steps another way
            said = usual(said.semitones)
        element.set("trans.semi", str(said.semitones))
        element.set("trans.diat", str(said.steps))
    if element.get("keysig") and not element.get("key.sig"):
        element.set("key.sig", element.get("keysig"))
    if element.get("meter.sym") in SIGNS and not element.get("meter.count"):
        element.set("meter.count", SIGNS[element.get("meter.sym") or ""][0])
        element.set("meter.unit", SIGNS[element.get("meter.sym") or ""][1])
    if (element.get("key.sig") or "0") not in SIGNATURES:
        element.attrib.pop("key.sig")


SIGNATURES = frozenset(("0", *(f"{n}{kind}" for n in range(1, 8) for kind in "sf")))


def _clef(sign: etree._Element) -> dict[str, str | None]:
    return {f"clef.{name}": sign.get(name) for name in ("shape", "line", "dis", "dis.place")}


def _key(sign: etree._Element) -> dict[str, str | None]:
    return {"key.sig": sign.get("sig"), "key.mode": sign.get("mode")}


def _metre(sign: etree._Element) -> dict[str, str | None]:
    return {f"meter.{name}": sign.get(name) for name in ("count", "unit", "sym")}


def _group(group: etree._Element) -> dict[str, str | None]:
    """Several metres in one signature: those of one unit added up (`3+2`), else the first."""
    signs = list(group.iterchildren(f"{NS}meterSig"))
    if not signs:
        return {}
    counts = [sign.get("count") or "" for sign in signs]
    units = {sign.get("unit") for sign in signs}
    if len(units) == 1 and all(counts) and group.get("func") != "alternating":
        return {"meter.count": "+".join(counts), "meter.unit": units.pop()}
    return _metre(signs[0])


def once_for_all(root: etree._Element) -> None:
    """Say what all staves begin with at the score's first definition: music21 takes the length of silent bars there.

    Changes before the first bar are what the piece begins with.
    """
    for score in root.iter(f"{NS}score"):
        first = next(score.iter(f"{NS}scoreDef"), None)
        if first is None:
            continue
        staves = list(first.iter(f"{NS}staffDef"))
        for each in list(score.iter(f"{NS}scoreDef", f"{NS}measure")):
            if each.tag == f"{NS}measure":
                break
            if each is first or len(each):
                continue
            for name, value in each.attrib.items():
                if name.startswith(("key.", "meter.")):
                    first.set(name, value)
                    for staff in staves:
                        staff.attrib.pop(name, None)
            _remove(each)
        said = {(staff.get("meter.count"), staff.get("meter.unit")) for staff in staves}
        if len(said) == 1 and all(*said) and not first.get("meter.count"):
            for name in ("meter.count", "meter.unit", "meter.sym"):
                if staves[0].get(name):
                    first.set(name, staves[0].get(name))
                for staff in staves:
                    staff.attrib.pop(name, None)


def metre_of(element: etree._Element) -> Fraction | None:
    """Return how long a bar is from here on, in quarters; None where nothing is said of it."""
    counts = [whole(part) for part in (element.get("meter.count") or "").split("+")]
    unit = element.get("meter.unit") or ""
    if unit not in UNITS or not all(counts):
        return None
    return sum((Fraction(count or 0) for count in counts), Fraction(0)) * Fraction(4, int(unit))


def one_section(root: etree._Element) -> None:
    """Take everything out of nested sections, and lead all sections of a score into the first.

    How a piece is played is told by its repeat signs and endings.
    """
    for expansion in list(root.iter(f"{NS}expansion")):
        _remove(expansion)
    for section in reversed(list(root.iter(f"{NS}section"))):
        parent = section.getparent()
        if parent is not None and parent.tag in (f"{NS}section", f"{NS}ending"):
            for child in list(section):
                section.addprevious(child)
            parent.remove(section)
    for score in root.iter(f"{NS}score"):
        first, *others = list(score.iterchildren(f"{NS}section")) or [None]
        behind = first
        while first is not None and behind is not None:
            following = behind.getnext()
            if following is None:
                break
            if following in others:
                first.extend(list(following))
                score.remove(following)
            elif following.tag in (f"{NS}scoreDef", f"{NS}ending", f"{NS}measure"):
                first.append(following)
            else:
                behind = following


def plain_numbers(root: etree._Element) -> None:
    """Leave measures the numbers that are some: music21 fails over `X1`."""
    for measure in root.iter(f"{NS}measure"):
        if not (measure.get("n") or "").isdecimal():
            measure.attrib.pop("n", None)


def _remove(element: etree._Element) -> None:
    parent = element.getparent()
    if parent is not None:
        parent.remove(element)
