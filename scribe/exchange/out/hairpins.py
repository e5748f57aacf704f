"""Hairpins in MusicXML where the draft has them: music21 begins and ends them at whole notes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import cycle
from typing import NamedTuple

from lxml import etree

from scribe.music.piece import Bar
from scribe.score.words import WEDGES, changes_loudness

KINDS = {"cresc": "crescendo", "dim": "diminuendo"}
Row = tuple[Bar, Sequence[etree._Element]]  # a bar and its measures: several where it is bars of rest


class _Level(NamedTuple):
    """A dynamic or hairpin: the index of its bar, and its onset there."""

    bar: int
    onset: Fraction
    name: str


class _Note(NamedTuple):
    """A note or rest of a measure: where it begins and ends, in divisions."""

    start: Fraction
    end: Fraction
    element: etree._Element


def put_hairpins(rows: Sequence[Row]) -> None:
    """Write the hairpins of a part anew: from their place to the next dynamic or hairpin, the last to the end."""
    for _, measures in rows:
        for measure in measures:
            for wedge in measure.findall("direction/direction-type/wedge"):
                measure.remove(wedge.getparent().getparent())
    levels = [
        _Level(index, placed.onset, placed.text)
        for index, (bar, _) in enumerate(rows)
        for placed in sorted(bar.music.words, key=lambda placed: placed.onset)
        if changes_loudness(placed)
    ]
    divisions = _divisions(rows)
    numbers = cycle("12")  # two may meet inside a note, where the one that begins is written first
    for place, level in enumerate(levels):
        if level.name not in WEDGES:
            continue
        number = next(numbers)
        goal = next((each for each in levels[place + 1 :] if each[:2] != level[:2]), None)
        _begin(rows[level.bar][1][0], level.onset * divisions, KINDS[level.name], number)
        if goal is None:
            _last(rows[-1][1][-1], _wedge("stop", number))
        else:
            _end(rows[goal.bar][1][0], goal.onset * divisions, number)


def _divisions(rows: Sequence[Row]) -> int:
    """Of a quarter: music21 says them once, at the beginning."""
    found = (measure.findtext("attributes/divisions") for _, measures in rows for measure in measures)
    return int(next((text for text in found if text), "1"))


def _wedge(kind: str, number: str, late: int = 0) -> etree._Element:
    """A direction; `late`: how many divisions behind the place where it stands."""
    made = etree.Element("direction", placement="below")
    etree.SubElement(etree.SubElement(made, "direction-type"), "wedge", number=number, type=kind)
    if late:
        etree.SubElement(made, "offset").text = str(late)
    return made


def _begin(measure: etree._Element, at: Fraction, kind: str, number: str) -> None:
    for note in _notes(measure):
        if note.start <= at < note.end:
            note.element.addprevious(_wedge(kind, number, round(at - note.start)))
            return
    _last(measure, _wedge(kind, number))


def _end(measure: etree._Element, at: Fraction, number: str) -> None:
    """End one before the dynamic that it leads to, or behind the note under which that stands."""
    for note in _notes(measure):
        if note.start < at < note.end:
            _behind(note.element).addnext(_wedge("stop", number, round(at - note.end)))
            return
        if note.start == at:
            before = measure.getprevious()
            if not at and before is not None and before.tag == "measure":
                _last(
                    before, _wedge("stop", number)
                )  # the same time, and readers drop it before the first note
            else:
                _first_of(note.element).addprevious(_wedge("stop", number))
            return
    _last(measure, _wedge("stop", number))


def _notes(measure: etree._Element) -> Iterator[_Note]:
    at = Fraction(0)
    for element in measure.iterchildren("note"):
        if element.find("chord") is None and element.find("grace") is None:
            size = Fraction(element.findtext("duration") or "0")
            yield _Note(at, at + size, element)
            at += size


def _behind(note: etree._Element) -> etree._Element:
    """The last head of a stack."""
    following = note.getnext()
    while following is not None and following.find("chord") is not None:
        note, following = following, following.getnext()
    return note


def _first_of(note: etree._Element) -> etree._Element:
    """The first dynamic or hairpin that begins with a note; the note itself where none does."""
    found = note
    before = note.getprevious()
    while before is not None and (before.tag in ("direction", "harmony") or before.find("grace") is not None):
        if before.find("direction-type/dynamics") is not None or any(
            wedge.get("type") != "stop" for wedge in before.iterfind("direction-type/wedge")
        ):
            found = before
        before = before.getprevious()
    return found


def _last(measure: etree._Element, direction: etree._Element) -> None:
    """Put something at the end of a measure."""
    barline = measure.find("barline[@location='right']")
    if barline is not None:
        barline.addprevious(direction)
    else:
        measure.append(direction)
