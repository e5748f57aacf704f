"""Tablature in MEI: strings and frets of a staff that has no other notes, as notes at the pitches that they give."""

from __future__ import annotations

import re
from typing import NamedTuple

from lxml import etree

from scribe.exchange.meidefs import NS
from scribe.music.pitch import Pitch
from scribe.music.tuning import STANDARD, parse_tuning

OPEN = {
    4: STANDARD,
    5: parse_tuning("B E A D G"),
    6: parse_tuning("E2 A2 D3 G3 B3 E4"),
}  # by the lines of a staff
STANDARDS = {"guitar.standard": "E2 A2 D3 G3 B3 E4", "guitar.drop.D": "D2 A2 D3 G3 B3 E4"}
SHARPS = ("c", "c s", "d", "d s", "e", "f", "f s", "g", "g s", "a", "a s", "b")  # by semitones above C
FLATS = ("c", "d f", "d", "e f", "e", "f", "g f", "g", "a f", "a", "b f", "b")
FURTHEST = 40  # frets
_STRING = re.compile(r"([a-g])(s|f)?(\d)")


class Strings(NamedTuple):
    """The open strings of a staff as they sound, the first course first; `flats`: its signature has some."""

    open: tuple[Pitch, ...]
    flats: bool = False


def strings_of(root: etree._Element) -> dict[str, Strings]:
    """Return the open strings of each staff of tablature, by its number."""
    found: dict[str, Strings] = {}
    flat = any((d.get("key.sig") or "").endswith("f") for d in root.iter(f"{NS}scoreDef", f"{NS}staffDef"))
    for staff in root.iter(f"{NS}staffDef"):
        named = [_open_string(course) for course in staff.iter(f"{NS}course")]
        named = named or [
            _pitch(*m.groups()) for m in map(_STRING.fullmatch, (staff.get("tab.strings") or "").split()) if m
        ]
        standard = next((t.get("tuning.standard") or "" for t in staff.iter(f"{NS}tuning")), "")
        known = [pitch for pitch in named if pitch is not None]
        lines = staff.get("lines") or ""
        usual = parse_tuning(STANDARDS[standard]) if standard in STANDARDS else None
        usual = usual or OPEN.get(int(lines) if lines.isdecimal() else 6) or STANDARD
        highest_first = sorted(known or usual, key=lambda pitch: -pitch.midi)
        found.setdefault(staff.get("n") or "", Strings(tuple(highest_first), flat))
    return found


def open_strings(staff: etree._Element) -> list[Pitch | None]:
    """Return the open strings that a `staffDef` names, the lowest first."""
    return [_open_string(course) for course in reversed(list(staff.iter(f"{NS}course")))]


def notes_of_tablature(layer: etree._Element, strings: Strings) -> None:
    """Make chords of what is struck together, and give notes without a pitch the one of their string and fret."""
    for group in list(layer.iter(f"{NS}tabGrp")):
        notes = list(group.iterchildren(f"{NS}note"))
        made = etree.Element(f"{NS}chord" if len(notes) > 1 else f"{NS}note" if notes else f"{NS}rest")
        if len(notes) == 1:
            made.attrib.update(notes[0].attrib)
        else:
            made.extend(notes)
        made.attrib.update({name: value for name, value in group.attrib.items() if name not in made.attrib})
        made.tail = group.tail
        parent = group.getparent()
        if parent is not None:
            parent.replace(group, made)
    for note in layer.iter(f"{NS}note"):
        course, fret = note.get("tab.course") or note.get("tab.string") or "", note.get("tab.fret") or ""
        if note.get("pname") or not (course.isdecimal() and fret.isdecimal()):
            continue
        if 1 <= int(course) <= len(strings.open) and int(fret) < FURTHEST:
            octave, above = divmod(strings.open[int(course) - 1].midi + int(fret), 12)
            letter, _, accidental = (FLATS if strings.flats else SHARPS)[above].partition(" ")
            note.set("pname", letter)
            note.set("oct", str(octave - 1))
            if accidental:
                note.set("accid.ges", accidental)


def _open_string(course: etree._Element) -> Pitch | None:
    return _pitch(course.get("pname") or "", course.get("accid"), course.get("oct") or "")


def _pitch(letter: str, accidental: str | None, octave: str) -> Pitch | None:
    if letter.upper() not in tuple("ABCDEFG") or not re.fullmatch("[0-9]", octave):
        return None
    return Pitch(letter.upper(), {"s": 1, "f": -1}.get(accidental or "", 0), int(octave))
