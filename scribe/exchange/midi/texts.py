"""Text events of a MIDI file: markers as sections, chord symbols where they can be read; the rest is said."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from scribe.exchange.m21.symbols import as_typed
from scribe.exchange.midi.bars import Span
from scribe.exchange.midi.file import Contents, Text
from scribe.exchange.midi.quantise import THREE_EIGHTHS, Quantised
from scribe.exchange.midi.readings import position
from scribe.exchange.model import Bar, Symbol
from scribe.music.chord import parse_chord
from scribe.music.inforce import Feel

NEAR = Fraction(1, 2)  # quarters from a barline within which a marker is meant for it
PARTS = (2, 3, 4)  # of a quarter: where a chord may change in a file without errors
WORD = re.compile(r"[A-G]o", re.IGNORECASE)  # Go, Do: words sooner than diminished chords


def with_texts(
    bars: Sequence[Bar], spans: Sequence[Span], contents: Contents, found: Quantised
) -> tuple[list[Bar], int, tuple[str, ...]]:
    """Return the bars with sections and chord symbols, and how many texts are neither: comments in their bars.

    Words at the very start name people or the piece, whoever wrote the file; they are given back for the head.
    """
    out = list(bars)
    over = 0
    head: list[str] = []
    # Of sections before the line begins the last one is in force there.
    markers = [
        place(text.time, contents, found) for text in contents.texts if text.kind == "marker" and text.words
    ]
    latest = max((at for at in markers if at <= spans[0].start + NEAR), default=Fraction(0))
    for text in contents.texts:
        if not text.words or not out:
            continue
        at = max(place(text.time, contents, found), spans[0].start)
        name = _chord(text) if text.kind == "text" else ""
        if text.kind == "marker" and place(text.time, contents, found) >= latest:
            index = _bar(at + NEAR, spans)
            if abs(at - spans[index].start) <= NEAR and not out[index].section:
                out[index] = replace(out[index], section=text.words)
                continue
        if not text.time and not name:
            head.append(f'{text.kind} "{text.words}"')
            continue
        index = _bar(at, spans)
        symbol = Symbol(at - spans[index].start, name)
        bar = out[index]
        if name and symbol.onset < bar.length:
            row = [each for each in bar.symbols if each.onset != symbol.onset]
            if len(row) < len(bar.symbols) and at > spans[0].start:
                over += 1  # two chords at one place: the later one, as it sounds on
            out[index] = replace(bar, symbols=tuple(sorted([*row, symbol])))
            continue
        over += 1
        out[index] = replace(bar, unsaid=(*bar.unsaid, f'{text.kind} "{text.words}"'))
    return out, over, tuple(head)


def _bar(at: Fraction, spans: Sequence[Span]) -> int:
    """The bar that holds a time, the last for what comes later."""
    return max((index for index, span in enumerate(spans) if span.start <= at), default=0)


def place(time: Fraction, contents: Contents, found: Quantised) -> Fraction:
    """Return where a text or a change stands, in quarters of the grid."""
    if found.exact and found.feel == Feel():
        return min((Fraction(round(time * part), part) for part in PARTS), key=lambda at: abs(at - time))
    where = position(contents.seconds(time), found.beats)
    return Fraction(round(where * float(THREE_EIGHTHS if found.threes else 1) * 2), 2)


def _chord(text: Text) -> str:
    """The chord symbol that a text is, as a draft names it; empty if it is none."""
    typed = as_typed(text.words)
    if WORD.fullmatch(typed) or " " in text.words.strip() or parse_chord(typed) is None:
        return ""
    return typed
