"""Frets rewritten as names: a note keeps its string where the hand would take another one by itself."""

from __future__ import annotations

from collections.abc import Iterator

from scribe.bass.fingered import fingered
from scribe.diagnostics import Span
from scribe.music.assemble import assemble
from scribe.music.events import Head
from scribe.music.piece import Piece
from scribe.music.rewrite.bar import Form
from scribe.music.rewrite.draft import Rewritten
from scribe.music.rewrite.ways import rewrite
from scribe.source.read import read

Note = tuple[int, Span]  # the bar's place in the draft, the note's in the bar
_ROUNDS = 8  # a pin may move its neighbours; after so many rounds every place gets one


def places_of(piece: Piece) -> dict[Note, tuple[int, int]]:
    """Return the places (string, fret) of all notes when the piece is fingered, as far as they have one."""
    found: dict[Note, tuple[int, int]] = {}
    tunings = {bar.offset: bar.in_force.tuning for bar in reversed(piece.bars)}
    sounds: dict[Note, int] = {}  # where it is written: `use` may play it again as another note
    for note, head in _heads(fingered(piece)):
        if sounds.setdefault(note, head.pitch.midi) != head.pitch.midi:
            continue
        if head.kind != "note" or head.string is None or head.fret is None:
            continue
        # A harmonic is touched at a fret where another note is stopped.
        if tunings[note[0]][-head.string].midi + head.fret == head.pitch.midi:
            found.setdefault(note, (head.string, head.fret))
    return found


def as_names(text: str, form: Form, bars: tuple[int, int] | None = None) -> Rewritten:
    """Write a draft's notes as letters or degrees (`form`), in `bars` only (printed numbers, first and last).

    A fret becomes a name pinned to its string where `places_of` the new draft would give the note another place: so
    the way back to frets leads to the same ones.
    """
    before = list(_heads(assemble(read(text))))
    typed = {note for note, head in before if head.way == "fret" and head.string is not None}
    pins: set[Note] = set()
    for turn in range(_ROUNDS + 1):
        result = rewrite(text, form, bars, pinned=pins)
        if result.faults or not typed:
            break
        after = _heads(fingered(assemble(read(result.text))))
        others = {
            note
            for (note, old), (_, new) in zip(before, after, strict=True)
            if note in typed and (turn == _ROUNDS - 1 or (old.string, old.fret) != (new.string, new.fret))
        }
        if others <= pins:
            break
        pins |= others
    return result


def _heads(piece: Piece) -> Iterator[tuple[Note, Head]]:
    """Yield the heads of a piece with where they are written, lowest first in stacks; twice where they are repeated."""
    for bar in piece.bars:
        for event in bar.events:
            for head in (*event.heads, *(grace.head for grace in event.graces)):
                yield (bar.offset, head.span), head
