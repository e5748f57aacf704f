"""Single signs that stand beside the staves in MEI: when, how fast, and what a comment calls them."""

from __future__ import annotations

import re
from fractions import Fraction

from lxml import etree

from scribe.exchange.meidefs import NS
from scribe.exchange.xmltempo import FASTEST, PLAYED, is_news
from scribe.exchange.xmltext import decimal, text_of
from scribe.music.inforce import Tempo

CODES = {"1": "W", "2": "H", "4": "Q", "8": "E", "16": "S", "32": "T"}
# The number that a tempo mark prints behind its words, the note before it: a sign of SMuFL, of Unicode, or left out.
_NOTE = "\ue000-\uf8ff\u2669-\u266c\U0001d15e-\U0001d164"
_PRINTED = re.compile(rf"[\s(]*[{_NOTE}.\s]*=\s*(?:[^\d=]*?)\d+(?:[.,]\d+)?(?:\s*[-\u2013]\s*\d+)?\)?\s*$")
_SIGNS = re.compile(rf"[\s(]*[{_NOTE}][{_NOTE}.\s=]*\)?")
# What comments call signs that a draft has none for; the forms of MEI are `upper` and `lower`.
CALLED = {
    "mordent": "inverted mordent", "mordent lower": "mordent", "turn lower": "inverted turn", "arpeg": "arpeggio mark",
    "breath": "breath mark", "pedal": "pedal mark", "bracketSpan": "a line or bracket drawn along the notes",
    "line": "a line or bracket drawn along the notes", "octave": "an octave sign that names no notes",
    "harpPedal": "harp pedals", "annot": "a remark:", "fing": "fingering", "fb": "figured bass",
}  # fmt: skip
SILENT = frozenset(
    ("mNum", "sb", "pb", "cb", "lb", "staffDef", "scoreDef", "layerDef", "beamSpan", "staff", "ossia")
)


def onset_of(control: etree._Element, unit: Fraction) -> Fraction | None:
    """A time stamp counts beats of the metre's unit from 1."""
    stamp = decimal(control.get("tstamp"))
    return None if stamp is None else max((stamp.limit_denominator(960) - 1) * unit, Fraction(0))


def called(control: etree._Element, text: str) -> str:
    """Return what a comment calls a sign; empty where it only ends another one."""
    name = str(control.tag)[len(NS) :]
    if name == "pedal" and control.get("dir") in ("up", "half"):
        return ""
    named = CALLED.get(f"{name} {control.get('form')}") or CALLED.get(name, name)
    return f"{named} {text}".strip()


def tempo_of(control: etree._Element, words: str) -> Tempo | None:
    """Return a tempo mark in our terms; None if it says something else, as one value that becomes another."""
    printed, played = decimal(control.get("mm")), decimal(control.get("midi.bpm"))
    words = _SIGNS.sub("", _PRINTED.sub("", words)).strip(" =")
    code = CODES.get(control.get("mm.unit") or "4")
    if printed is not None and code is not None and 0 < printed <= FASTEST:
        dotted = control.get("mm.dots") == "1"
        return Tempo(words, code + ("." if dotted else ""), printed.limit_denominator(1000))
    if played is not None and is_news(played) and (words or not text_of(control)):
        return Tempo(words, PLAYED, played.limit_denominator(1000))
    return Tempo(words, "Q", None) if words else None
