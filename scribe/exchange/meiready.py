"""MEI made ready for music21: rests and repeated bars written out, endings unwrapped, all in words that it knows."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from copy import deepcopy
from itertools import count
from typing import NamedTuple

from lxml import etree
from music21 import note, stream

from scribe.exchange.meidefs import NS, once_for_all, one_section, plain_definitions, plain_numbers
from scribe.exchange.meilayers import XML_ID, Tell, plain_layers
from scribe.exchange.meiplaces import at_sounding_octave
from scribe.exchange.xmltext import one_line, text_of

TODO = "scribe-todo-"  # how the ids of rests begin that are bars still to do
MOST_RESTS = 999
SILENT = "scribe-rest-"  # how the ids of notes begin that stand in for rests
_COPIES = count(1)


class Ready(NamedTuple):
    """What a document said before it was changed.

    `endings`: of each measure the passes, and whether it is the first one there; `repeats`: the repeat signs by number
    of the staff, as in `Extras.repeats`; `rests`: how many bars of rest it stood for; `labels`: the names of the parts
    by number from 1; `lost`: of each measure what is not said any more, each with the number of its staff (empty: any).
    """

    endings: dict[etree._Element, tuple[tuple[int, ...], bool]]
    repeats: dict[etree._Element, dict[str, tuple[int, int]]]
    rests: dict[etree._Element, int]
    labels: dict[int, str]
    lost: Mapping[etree._Element, Sequence[tuple[str, str]]]


def prepare(root: etree._Element) -> Ready:
    """Change an MEI document into what music21 understands; return what it said in the words that are gone."""
    lost: dict[etree._Element, list[tuple[str, str]]] = defaultdict(list)

    def tell(each: etree._Element, what: str) -> None:
        measure = next(each.iterancestors(f"{NS}measure"), None)
        if measure is not None:
            staff = next(each.iterancestors(f"{NS}staff"), None)
            lost[measure].append(("" if staff is None else staff.get("n") or "", what))

    plain_definitions(root)
    plain_numbers(root)
    plain_layers(root, tell)
    at_sounding_octave(root)
    labels = _labels(root)
    endings = _unwrap(root)
    one_section(root)
    once_for_all(root)
    _tie_notes(root, tell)
    repeats, rests = _write_out(root)
    _loose_graces(root)
    _last_rests(root)
    return Ready(endings, repeats, rests, labels, lost)


def _labels(root: etree._Element) -> dict[int, str]:
    """Take the names of the parts away: music21 would transpose a `clarinet` whose notes are written as they sound.

    A staff without a name has that of its group (`Piano` of both hands), else that of its sound.
    """
    parts: dict[str, str] = {}
    for each in root.iter(f"{NS}staffDef"):
        groups = list(each.iterancestors(f"{NS}staffGrp"))
        sounds = [s for holder in (each, *groups[:1]) for s in holder.iterchildren(f"{NS}instrDef")]
        played = next((s.get("midi.instrname") for s in sounds if s.get("midi.instrname")), "") or ""
        name = next(filter(None, (_label(holder) for holder in (each, *groups))), "")
        number = each.get("n") or ""
        parts[number] = parts.get(number) or name or played.replace("_", " ")
    for each in list(root.iter(f"{NS}staffDef")):
        each.attrib.pop("label", None)
    for each in list(root.iter(f"{NS}instrDef")):
        _put(each, None)
    return {index: name for index, name in enumerate(parts.values(), 1) if name}


def _label(holder: etree._Element) -> str:
    inside = next(holder.iterchildren(f"{NS}label"), None)
    return one_line(holder.get("label") or ("" if inside is None else text_of(inside)))


def _unwrap(root: etree._Element) -> dict[etree._Element, tuple[tuple[int, ...], bool]]:
    """Take measures out of `<ending>`; returns the passes of each, and whether it is the first one there."""
    found: dict[etree._Element, tuple[tuple[int, ...], bool]] = {}
    for ending in list(root.iter(f"{NS}ending")):
        passes = tuple(int(n) for n in re.findall(r"\d+", ending.get("n") or "")[:9] if 0 < int(n) < 100) or (
            1,
        )
        for place, measure in enumerate(ending.iter(f"{NS}measure")):
            found[measure] = (passes, place == 0)
        parent = ending.getparent()
        if parent is not None:
            for child in list(ending):
                ending.addprevious(child)
            parent.remove(ending)
    return found


def _write_out(
    root: etree._Element,
) -> tuple[dict[etree._Element, dict[str, tuple[int, int]]], dict[etree._Element, int]]:
    """One measure for each bar of rest, notes for each repeated bar; returns the signs that stood there for them."""
    before: list[etree._Element] = []
    signs: dict[etree._Element, dict[str, tuple[int, int]]] = defaultdict(dict)
    long: dict[etree._Element, int] = {}
    for measure in list(root.iter(f"{NS}measure")):
        many = next(measure.iter(f"{NS}multiRest"), None)
        if many is not None:
            text = many.get("num") or "1"
            rests = min(int(text), MOST_RESTS) if text.isdecimal() else 1
            long[measure] = rests
            for each in list(measure.iter(f"{NS}multiRest")):
                _put(each, etree.Element(f"{NS}mRest"))
            for _ in range(rests - 1):
                measure.addnext(_without_controls(measure))
            for each in [measure, *measure.itersiblings(f"{NS}measure")][: rests - 1]:
                each.attrib.pop("right", None)  # the barline of the last one
        for tag, back in ((f"{NS}mRpt", 1), (f"{NS}mRpt2", 2)):
            for each in list(measure.iter(tag)):
                staff = next(each.iterancestors(f"{NS}staff"), None)
                number = "" if staff is None else staff.get("n") or ""
                if len(before) >= back:
                    _copy_layer(each, before, back)
                    signs[measure][number] = (back, back - 1)
                second = _second_half(measure, number, before) if back == 2 else None
                if second is not None:
                    signs[second][number] = (2, 2)
        for each in list(measure.iter(f"{NS}mSpace")):
            rest = etree.Element(f"{NS}mRest")
            rest.set(XML_ID, f"{TODO if measure.get('type') == 'todo' else 'space-'}{next(_COPIES)}")
            _put(each, rest)
        before.append(measure)
    return signs, long


def _tie_notes(root: etree._Element, tell: Tell) -> None:
    """Say of notes whether they are tied: music21 loses the first of two `<tie>` that meet at a note."""
    ties = list(root.iter(f"{NS}tie"))
    named = {each.get(XML_ID): each for each in root.iter(f"{NS}note", f"{NS}chord")} if ties else {}
    for tie in ties:
        start, end = (named.get((tie.get(place) or "").removeprefix("#")) for place in ("startid", "endid"))
        parent = tie.getparent()
        if parent is None:
            continue
        if start is None or end is None:
            tell(tie, "a tie that leads nowhere")
            parent.remove(tie)
            continue
        start.set("tie", "m" if start.get("tie") in ("t", "m") else "i")
        end.set("tie", "m" if end.get("tie") in ("i", "m") else "t")
        parent.remove(tie)


def _loose_graces(root: etree._Element) -> None:
    """music21 skips `<graceGrp>` with all that is in it: its notes stand alone instead."""
    for group in list(root.iter(f"{NS}graceGrp")):
        for each in list(group.iter(f"{NS}note", f"{NS}chord")):
            if each.getparent() is not None and each.getparent().tag != f"{NS}chord":
                each.set("grace", each.get("grace") or group.get("grace") or "acc")
                group.addprevious(each)
        parent = group.getparent()
        if parent is not None:
            parent.remove(group)


def _last_rests(root: etree._Element) -> None:
    """A tuplet that ends with a rest makes music21 stumble: a note stands in for it (see `SILENT`)."""
    for tuplet in root.iter(f"{NS}tuplet"):
        inside = list(tuplet.iter(f"{NS}note", f"{NS}chord", f"{NS}rest", f"{NS}space"))
        if inside and inside[-1].tag in (f"{NS}rest", f"{NS}space"):
            last = inside[-1]
            made = etree.Element(f"{NS}note", pname="c", oct="4", dur=last.get("dur") or "4")
            made.set(XML_ID, f"{SILENT}{last.get(XML_ID) or next(_COPIES)}")
            if last.get("dots"):
                made.set("dots", last.get("dots"))
            made.tail = last.tail
            _put(last, made)


def silence(score: stream.Score) -> None:
    """Make rests again of the notes that stood in for some."""
    for each in list(score.recurse().notes):
        if str(each.id).startswith(SILENT) and each.activeSite is not None:
            rest = note.Rest()
            rest.id = str(each.id).removeprefix(SILENT)  # what is said of it is said by its own id
            rest.duration = each.duration
            each.activeSite.replace(each, rest)


def _put(old: etree._Element, new: etree._Element | None) -> None:
    """Put an element in the place of another; None: take that one out."""
    parent = old.getparent()
    if parent is not None and new is None:
        parent.remove(old)
    elif parent is not None and new is not None:
        parent.replace(old, new)


def _without_controls(measure: etree._Element) -> etree._Element:
    copy = etree.Element(measure.tag, {k: v for k, v in measure.attrib.items() if k in ("n", "right")})
    for staff in measure.iterchildren(f"{NS}staff"):
        copy.append(deepcopy(staff))
    _rename(copy)
    return copy


def _copy_layer(sign: etree._Element, before: Sequence[etree._Element], back: int) -> None:
    """Put the notes of so many measures back on the same staff in the place of a repeat sign.

    What stands at them (slurs, marks, words) is not copied: see `Extras.copies`.
    """
    layer = sign.getparent()
    staff = layer.getparent() if layer is not None else None
    if layer is None or staff is None:
        return
    first = _layer(before[-back], staff.get("n"))
    if first is None:
        return
    copies = [deepcopy(each) for each in first]
    _rename(copies)
    for each in copies:
        for tied in each.iter(f"{NS}note", f"{NS}chord"):
            tied.attrib.pop("tie", None)
    layer.remove(sign)
    layer.extend(copies)


def _layer(measure: etree._Element, staff: str | None) -> etree._Element | None:
    for each in measure.iterchildren(f"{NS}staff"):
        if each.get("n") == staff:
            return next(each.iterchildren(f"{NS}layer"), None)
    return None


def _second_half(
    measure: etree._Element, number: str, before: Sequence[etree._Element]
) -> etree._Element | None:
    """A two-bar repeat stands in its first bar; the second follows with nothing of its own, and is returned."""
    following = measure.getnext()
    while following is not None and following.tag != measure.tag:
        following = following.getnext()
    if following is None or not before:
        return None
    spaces = [
        space
        for staff in following.iterchildren(f"{NS}staff")
        if staff.get("n") == number
        for space in staff.iter(f"{NS}mSpace")
    ]
    for space in spaces:
        _copy_layer(space, (*before, measure), 2)
    return following if spaces else None


def _rename(elements: Iterable[etree._Element]) -> None:
    """Give new ids to copies, which must not have those of what they were copied from."""
    for element in elements:
        for each in element.iter():
            if each.get(XML_ID):
                each.set(XML_ID, f"{each.get(XML_ID)}.{next(_COPIES)}")
