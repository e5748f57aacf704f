"""Bars that the source prints as a repeat sign: `%` and `%%`, where they say what the notes say."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from scribe.exchange.model import Bar, Event, Sign, Symbol
from scribe.music.bar import compile_bar
from scribe.music.inforce import Entry, InForce


class Repeat(NamedTuple):
    """The text of a repeat sign and how many bars it is; `after` in force, `leaves` of each bar for a hold."""

    text: str
    bars: int
    after: InForce
    leaves: tuple[Entry, ...]


def repeat_sign(bars: Sequence[Bar], index: int, now: InForce, entries: Sequence[Entry]) -> Repeat | None:
    """Return the sign for the bar at `index`, or for it and the next; None if it has none or says something else.

    `entries`: what the bars before left behind.
    """
    bar = bars[index]
    if bar.repeat == 2 and bar.repeat_part == 1 and index >= 2 and index + 1 < len(bars):
        pair, sources = bars[index : index + 2], [index - 2, index - 1]
        if not _one_cell(*pair):
            return None
    else:
        source = next((i for i in range(index - 1, -1, -1) if not bars[i].repeat), None)
        if bar.repeat != 1 or source is None:
            return None
        pair, sources = bars[index : index + 1], [source]
    before = entries[index - 1]
    for each, at in zip(pair, sources, strict=True):
        if each.length != bars[at].length or each.events != _again(bars[at].events, before):
            return None
        before = entries[at]
    text, after = _text(pair, now)
    return Repeat(text, len(pair), after, tuple(entries[at] for at in sources)) if text else None


def _one_cell(first: Bar, second: Bar) -> bool:
    """Whether nothing stands at the barline between two bars."""
    plain = (second.section, second.left, first.right, second.tempo, second.feel, second.ending_starts)
    same = (first.key, first.metre, first.length) == (second.key, second.metre, second.length)
    return not any(plain) and same and not second.signs and not second.unsaid and second.repeat_part == 2


def _again(events: tuple[Event, ...], before: Entry) -> tuple[Event, ...]:
    """What a bar's events are when it is repeated: a hold at its start ties only to the same pitches."""
    if not events or not events[0].held:
        return events
    same = [h.pitch.midi for h in before.heads] == [h.pitch.midi for h in events[0].heads]
    return (events[0]._replace(held=same), *events[1:])


def _text(pair: Sequence[Bar], now: InForce) -> tuple[str, InForce]:
    """The sign with its chords and words; empty if they cannot stand there."""
    signs = [f"'{s.text}" if s.kind == "direction" else f'"{s.text}"' for s in pair[0].signs]
    starts = [bar.length * place for place, bar in enumerate(pair)]
    symbols = [
        s._replace(onset=(start + s.onset) / len(pair))
        for start, bar in zip(starts, pair, strict=True)
        for s in bar.symbols
    ]
    names = [f"@{s.name}{'?' if s.doubtful else ''}" for s in symbols]
    text = " ".join([*signs, *names, "%" * len(pair)])
    music, _, after = compile_bar(text, now, Entry())
    chords = [Symbol(c.onset, c.name, c.doubtful) for c in music.chords]
    words = [Sign(w.onset, w.kind, w.text) for w in music.words]
    right = not music.broken and music.repeat == len(pair) and music.length == pair[0].length
    return (text, after) if right and chords == symbols and words == list(pair[0].signs) else ("", now)
