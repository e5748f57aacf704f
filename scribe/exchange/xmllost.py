"""What MusicXML says at a bar that music21 passes over, named so that the draft can say it in a comment."""

from __future__ import annotations

from collections.abc import Iterator

from lxml import etree

from scribe.exchange.xmltext import text_of

# Kinds of direction that are read, or only tell how something is drawn that is read (MusicXML 4.0, `direction-type`).
READ = frozenset(
    (
        "rehearsal", "segno", "coda", "words", "symbol", "wedge", "dynamics", "dashes", "bracket", "pedal", "metronome",
        "octave-shift",
    )
)  # fmt: skip


def lost_in(measure: etree._Element) -> Iterator[tuple[str, str]]:
    """Yield what a measure loses, in words, each with the number of its staff (empty: all of them)."""
    for each in measure:
        staff = (each.findtext("staff") or "").strip()
        if each.tag == "direction":
            yield from ((staff, what) for what in _direction(each))
        elif each.tag == "figured-bass":
            yield staff, "figured bass"
        elif each.tag == "note":
            yield from ((staff, what) for what in _note(each))
        elif each.tag == "barline" and each.find("fermata") is not None:
            yield staff, "a fermata on the barline"


def _direction(direction: etree._Element) -> Iterator[str]:
    for kind in direction.iterfind("direction-type/*"):
        if kind.tag == "other-direction":
            yield text_of(kind) or "a direction of another kind"
        elif kind.tag not in READ:
            yield kind.tag.replace("-", " ")


def _note(note: etree._Element) -> Iterator[str]:
    if note.find("rest") is None and note.get("print-object") == "no":
        yield "an unprinted note kept as a note"
    if note.find("cue") is not None:
        yield "a cue note kept as a note"
    for tremolo in note.iterfind("notations/ornaments/tremolo"):
        if tremolo.get("type") == "start":
            yield "tremolo"
    for other in note.iterfind("notations/technical/other-technical"):  # whose text music21 loses
        yield f"a sign of playing: {text_of(other)}".removesuffix(": ")
    for other in note.iterfind("notations/other-notation"):
        yield text_of(other) or "a sign of another kind"
