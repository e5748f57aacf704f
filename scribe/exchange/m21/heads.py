"""Heads and marks of music21's notes in our terms, and what of them a draft cannot say."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Set

from music21 import articulations, chord, expressions, note

from scribe.exchange.m21.pitches import is_exact, pitch_of
from scribe.exchange.model import Head
from scribe.music.events import HeadKind
from scribe.music.pitch import Pitch
from scribe.source.tree import Connector, Mark

Flags = Mapping[str, Set[str]]
DOUBT = "#B3400E"  # the colour in which doubts are given out
KINDS: dict[str, HeadKind] = {"x": "dead", "slash": "unheard"}
ARTICULATIONS: dict[str, Mark] = {
    "Accent": "accent",
    "Staccato": "staccato",
    "Tenuto": "tenuto",
    "Falloff": "fall",
    "StringHarmonic": "harmonic",
    "Harmonic": "harmonic",
    "FretBend": "bent",
}
PLUCKS: dict[str, Mark] = {"T": "thumb", "P": "popped"}
NOWHERE: dict[str, Connector] = {"Scoop": "slide up", "Plop": "slide down"}
FROM_NOWHERE = {"slide up": "scoop", "slide down": "plop"}
LIKE: dict[str, tuple[Mark, ...]] = {
    "StrongAccent": ("accent",),
    "Staccatissimo": ("staccato",),
    "Spiccato": ("staccato",),
    "DetachedLegato": ("staccato", "tenuto"),
}  # the nearest marks that a draft has
EXACT = frozenset(("DetachedLegato",))  # staccato and tenuto together are the same sign
CALLED = {
    "StringThumbPosition": "thumb position",
    "FretTap": "fret tap",
    "IndeterminateSlide": "slide",
}  # what a comment calls signs whose names of music21 say it badly
SAID_ELSEWHERE = ("StringIndication", "FretIndication", "HammerOn", "PullOff", "TechnicalIndication")


def heads_of(found: note.GeneralNote, flags: Flags) -> tuple[list[Head], list[str]]:
    """Return the heads of a note or stack, lowest first, and what cannot be said of them.

    `flags`: what else the source says of a head, by the id of its note.
    """
    lost: list[str] = []
    notes = list(found.notes) if isinstance(found, chord.ChordBase) else [found]
    heads: list[Head] = []
    strings = _places(found, len(notes))
    for each, (string, fret) in zip(notes, strings, strict=True):
        if isinstance(each, note.Unpitched):
            place = Pitch(each.displayStep, 0, each.displayOctave)
            heads.append(Head(place, "dead"))
            continue
        assert isinstance(each, note.Note)
        if not is_exact(each.pitch):
            lost.append(f"a quarter tone above {pitch_of(each.pitch)}, written as {pitch_of(each.pitch)}")
        shape = each.notehead or "normal"
        if shape not in ("normal", "none", *KINDS):
            lost.append(f"a {shape} notehead")
        said = flags.get(str(each.id)) or flags.get(str(found.id)) or ()
        kind: HeadKind = (
            "dead" if "dead" in said else "unheard" if "unheard" in said else KINDS.get(shape, "note")
        )
        own = _places(each, 1)[0] if len(notes) > 1 else (None, None)
        heads.append(
            Head(
                pitch_of(each.pitch),
                kind,
                bool(each.noteheadParenthesis) or "ghost" in said,
                (each.style.color or "").upper() == DOUBT or "doubtful" in said,
                own[0] or string or _number(said, "string"),
                own[1] if own[1] is not None else _number(said, "fret") if fret is None else fret,
            )
        )
    heads.sort(key=lambda head: (head.pitch.midi, head.pitch.staff))
    kept = [head for i, head in enumerate(heads) if head.pitch not in [h.pitch for h in heads[:i]]]
    if len(kept) < len(heads):
        lost.append("the same pitch twice in a stack")
    return kept, lost


def _number(said: Set[str] | tuple[()], name: str) -> int | None:
    """The number in a flag such as `string 3`."""
    found = [each for each in said if each.startswith(f"{name} ")]
    return int(found[0].split()[1]) if found else None


def _places(found: note.GeneralNote, count: int) -> list[tuple[int | None, int | None]]:
    """String and fret of each head: one sign a head, in order, where there are as many."""
    strings = [a.number for a in found.articulations if isinstance(a, articulations.StringIndication)]
    frets = [a.number for a in found.articulations if isinstance(a, articulations.FretIndication)]
    none: list[int | None] = [None] * count
    return list(
        zip(strings if len(strings) == count else none, frets if len(frets) == count else none, strict=True)
    )


def marks_of(found: note.GeneralNote) -> tuple[list[Mark], Connector, list[str]]:
    """Return the marks of a note, the slide from nowhere that leads to it, and what cannot be said."""
    marks: list[Mark] = []
    lost: list[str] = []
    connector: Connector = ""
    signs = list(found.articulations)
    if isinstance(found, chord.ChordBase):
        signs += [sign for each in found.notes for sign in each.articulations]
    for sign in signs:
        name = type(sign).__name__
        if name in SAID_ELSEWHERE:
            continue
        if name in ARTICULATIONS:
            marks.append(ARTICULATIONS[name])
        elif name in LIKE:
            marks += LIKE[name]
            if name not in EXACT:
                lost.append(f"{_words(name)}, written as {' and '.join(LIKE[name])}")
        elif name in NOWHERE:
            connector = NOWHERE[name]
        elif isinstance(sign, articulations.Fingering) and str(sign.fingerNumber) in PLUCKS:
            marks.append(PLUCKS[str(sign.fingerNumber)])
        elif isinstance(sign, articulations.Fingering):
            lost.append(f"fingering {sign.fingerNumber}")
        elif getattr(sign, "displayText", None):
            lost.append(f"a sign of playing: {sign.displayText}")
        else:
            lost.append(CALLED.get(name) or _words(name))
    for mark in found.expressions:
        if isinstance(mark, expressions.Fermata):
            marks.append("held")
        else:
            lost.append(_words(type(mark).__name__))
    return list(dict.fromkeys(marks)), connector, lost


def lyrics_of(found: note.GeneralNote) -> Iterator[tuple[int, str]]:
    """The syllables under a note, each with the number of its verse."""
    for lyric in found.lyrics:
        if lyric.text:
            yield lyric.number, lyric.text + ("-" if lyric.syllabic in ("begin", "middle") else "")


def _words(name: str) -> str:
    """`StrongAccent`: `strong accent`."""
    return "".join(f" {c.lower()}" if c.isupper() else c for c in name).strip()
