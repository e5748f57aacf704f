"""How readers of MusicXML print a chord symbol: its `kind` and its degrees, nothing of it twice."""

from __future__ import annotations

import re

from lxml import etree

from scribe.exchange.m21.symbols import suffixes
from scribe.music.chord import Chord, parse_chord
from scribe.score.symbols import suffix

# How what is added, altered or left out begins behind the text of a kind.
_ADDED = re.compile(r"[(b#♭♯+,]|add|no|omit|/9")


def print_degrees(harmony: etree._Element, chord: Chord) -> None:
    """Say how a symbol is printed.

    `7b9#11` is the text `7` and two degrees: some readers print text and degrees, whatever is said of them. Where the
    degrees do not stand in the text one by one (`13sus4`, `7alt`) the text has all of it, and they are not printed
    (MusicXML 4.0, `degree`: `print-object`).
    """
    kind = harmony.find("kind")
    if kind is None:
        return
    whole = suffix(chord)
    head = _head(chord, whole)
    kind.set("text", whole if head is None else head)
    for degree in harmony.findall("degree"):
        if head is None:
            degree.set("print-object", "no")
        else:
            kind.set("parentheses-degrees", "yes" if "(" in whole else "no")
            _type(degree, whole[len(head) :])


def is_told(chord: Chord) -> bool:
    """Whether kind and degrees alone tell how a symbol was typed."""
    whole = suffix(chord)
    if _head(chord, whole) is None:
        return True  # it stands there in full
    for each in suffixes(chord.kind, chord.degrees):
        made = parse_chord(f"C{each}")
        if made is not None and (made.kind, made.degrees) == (chord.kind, chord.degrees):
            return each == whole
    return False


def _head(chord: Chord, whole: str) -> str | None:
    """What of a symbol's text says its kind; None where it cannot be parted from its degrees."""
    for end in range(len(whole), -1, -1) if chord.degrees else ():
        made = parse_chord("C" + whole[:end])
        if made is not None and made.kind == chord.kind and not made.degrees and _ADDED.match(whole, end):
            return None if re.search("sus|alt", whole[end:]) else whole[:end]
    return None


def _type(degree: etree._Element, typed: str) -> None:
    """Say with which word a degree is printed: the one that was typed, or none."""
    what = degree.find("degree-type")
    number = degree.findtext("degree-value") or ""
    if what is not None:
        words = re.search(rf"(add|no|omit)[b#♭♯]*{number}(?!\d)", typed)
        what.set("text", words[1].replace("omit", "no") if words else "")
