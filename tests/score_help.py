"""What the tests of the build stage share: scores out of drafts, through MusicXML and back."""

from __future__ import annotations

from fractions import Fraction
from itertools import groupby
from typing import Any
from xml.etree import ElementTree

from music21 import converter, note, spanner, stream
from music21.musicxml.m21ToXml import GeneralObjectExporter

from scribe import compile
from scribe.pipeline import Compiled
from scribe.score import Sounded


def clean(text: str) -> Compiled:
    """Compile a draft that has nothing wrong with it."""
    compiled = compile(text)
    assert [d for d in compiled.diagnostics if d.severity == "error"] == []
    return compiled


def through_musicxml(score: stream.Score, *, make_notation: bool = False) -> tuple[str, stream.Score]:
    """Write a score with music21's exporter and read it again; return the MusicXML and what was read.

    Without `make_notation` the exporter adds nothing of its own: beams, ties, tuplets must all be there.
    """
    exporter = GeneralObjectExporter(score)
    exporter.makeNotation = make_notation
    text = exporter.parse().decode()
    again = converter.parseData(text, format="musicxml")
    assert isinstance(again, stream.Score)
    return text, again


def listed(compiled: Compiled) -> list[Sounded]:
    """The note list of a draft, stacks together, onsets from the start; each bar has its own number."""
    starts: dict[int, Fraction] = {}
    at = Fraction(0)
    for bar in compiled.piece.bars:
        assert bar.number not in starts
        starts[bar.number] = at
        at += bar.music.length * max(bar.rests, 1)
    found = []
    keyed = groupby(
        enumerate(compiled.notes), lambda row: (row[1].bar, row[1].onset, row[0] if row[1].grace else None)
    )
    for (bar, onset, _), rows in keyed:
        heads = [row for _, row in rows]
        names = tuple(str(r.pitch) if r.pitch else "dead" if "dead" in r.marks else "unheard" for r in heads)
        found.append(Sounded(starts[bar] + onset, heads[0].length, names, tuple(r.midi for r in heads)))
    return found


def xml_of(text: str) -> ElementTree.Element:
    return ElementTree.fromstring(through_musicxml(clean(text).score)[0])


def notes_of(text: str) -> list[Any]:
    found = clean(text).score.recurse().getElementsByClass(note.NotRest)
    return [each for each in found if "Harmony" not in each.classes]


def spanned(text: str, kind: type[spanner.Spanner]) -> list[list[str]]:
    """The names of the notes that each spanner of a kind joins."""
    found = clean(text).score.recurse().getElementsByClass(kind)
    return [[each.pitches[0].name for each in line.getSpannedElements()] for line in found]
