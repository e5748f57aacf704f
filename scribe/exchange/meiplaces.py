"""Where everything stands in MEI: bar, onset and length of each thing with an id, counted from the written values."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import NamedTuple

from lxml import etree

from scribe.exchange.meidefs import NS
from scribe.exchange.xmltext import whole

XML_ID = "{http://www.w3.org/XML/1998/namespace}id"
LONG = {"long": Fraction(16), "breve": Fraction(8)}


class Place(NamedTuple):
    """Index of the bar, onset and length in quarters, number of the staff."""

    bar: int
    onset: Fraction
    length: Fraction
    staff: str


def places_of(root: etree._Element) -> dict[str, Place]:
    """Return the place of every note, chord and rest, by its id."""
    found: dict[str, Place] = {}
    for index, measure in enumerate(root.iter(f"{NS}measure")):
        for staff in measure.iterchildren(f"{NS}staff"):
            for layer in staff.iterchildren(f"{NS}layer"):
                _row(
                    layer,
                    Fraction(0),
                    Fraction(1),
                    Place(index, Fraction(0), Fraction(0), staff.get("n") or ""),
                    found,
                )
    return found


def at_sounding_octave(root: etree._Element) -> None:
    """Move notes under an octave sign to where they sound, unless they say that themselves (MEI 5: `@oct.ges`)."""
    signs = [(each, ids(each)) for each in root.iter(f"{NS}octave")]
    places = places_of(root) if signs else {}
    notes = [each for each in root.iter(f"{NS}note") if not each.get("oct.ges")] if signs else []
    for sign, (start, end) in signs:
        if start not in places or end not in places:
            continue
        by = {"8": 1, "15": 2, "22": 3}.get(sign.get("dis") or "8", 0)
        by = -by if sign.get("dis.place") == "below" else by
        first, last = places[start], places[end]
        for note in notes:
            place = places.get(note.get(XML_ID) or "")
            if place is None or place.staff != first.staff or not first[:2] <= place[:2] <= last[:2]:
                continue
            note.set("oct", str((whole(note.get("oct")) or 0) + by))
            note.set("oct.ges", note.get("oct"))


def _row(
    holder: etree._Element, at: Fraction, scale: Fraction, here: Place, found: dict[str, Place]
) -> Fraction:
    """Take in what stands in a row; returns where it ends."""
    for each in holder:
        tag = each.tag[len(NS) :] if isinstance(each.tag, str) and each.tag.startswith(NS) else ""
        if tag in ("note", "chord", "rest", "space"):
            length = Fraction(0) if each.get("grace") else length_of(each) * scale
            for one in (each, *each.iterchildren(f"{NS}note")):
                if one.get(XML_ID):
                    found[one.get(XML_ID) or ""] = here._replace(onset=at, length=length)
            at += length
        elif tag in ("mRest", "mSpace", "mRpt", "multiRest") and each.get(XML_ID):
            found[each.get(XML_ID) or ""] = here._replace(onset=at)
        elif tag == "tuplet":
            ratio = Fraction(whole(each.get("numbase")) or 1, whole(each.get("num")) or 1)
            at = _row(each, at, scale * ratio, here, found)
        elif tag in ("beam", "graceGrp"):
            at = _row(each, at, scale, here, found)
    return at


def length_of(each: etree._Element) -> Fraction:
    """Return the written length of a note, chord or rest in quarters, dots counted."""
    value = each.get("dur") or ""
    length = LONG.get(value) or (Fraction(4, int(value)) if value.isdecimal() and int(value) else Fraction(1))
    dots = whole(each.get("dots")) or len(list(each.iterchildren(f"{NS}dot")))
    return length * (2 - Fraction(1, 2 ** min(max(dots, 0), 4)))


def ids(control: etree._Element) -> tuple[str, str]:
    """Return the ids that a control element begins and ends at; empty where it names none."""
    start = (control.get("startid") or (control.get("plist") or "").split(" ")[0]).lstrip("#")
    return start, (control.get("endid") or "").lstrip("#")


def staves_of(control: etree._Element, places: Mapping[str, Place]) -> list[str]:
    """Return the numbers of the staves that a control element is for: those it names, else that of its note."""
    named = (control.get("staff") or "").split()
    start = ids(control)[0]
    return named or ([places[start].staff] if start in places else [])


def both_hands(root: etree._Element) -> dict[str, list[str]]:
    """Return, of the upper of two braced staves the numbers of both.

    Dynamics stand between the staves of a piano once for both hands (common practice, no source).
    """
    found: dict[str, list[str]] = {}
    for group in root.iter(f"{NS}staffGrp"):
        numbers = [each.get("n") or "" for each in group.iterchildren(f"{NS}staffDef")]
        signs = [group.get("symbol"), *(each.get("symbol") for each in group.iterchildren(f"{NS}grpSym"))]
        if len(numbers) == 2 and "brace" in signs:
            found[numbers[0]] = numbers
    return found


def has_dynamics(control: etree._Element, number: str) -> bool:
    """Whether a staff has dynamics of its own in the bar of a control element."""
    measure = control.getparent()
    others = () if measure is None else measure.iterchildren(f"{NS}dynam", f"{NS}hairpin")
    return any(number in (each.get("staff") or "").split() for each in others)
