"""A file that carries its draft, and whose music was changed since: the draft again, its changed bars written anew."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from scribe.diagnostics import Span
from scribe.exchange.barchoice import same, write_bar
from scribe.exchange.check import Sound, sounds_of_piece
from scribe.exchange.model import Bar, Line, Sign, Symbol
from scribe.exchange.pitchtext import Way
from scribe.music import piece as compiled
from scribe.music.assemble import assemble
from scribe.music.inforce import Entry
from scribe.source.read import read

ROUNDS = 3  # a changed bar may change what repeats it
NOWHERE = Span(0, 0)


def merged(text: str, then: Line, now: Line, way: Way) -> tuple[str, int] | None:
    """Return a draft that says what a file says now, and how many of its bars were written anew.

    `text`: the draft that the file carries; `then`: what its file said when it was made. None where more was changed
    than what stands inside bars, or a bar cannot be changed where it stands (`use`, rest bars).
    """
    if len(then.bars) != len(now.bars) or _frame(then) != _frame(now):
        return None
    differs = {i for i, pair in enumerate(zip(then.bars, now.bars, strict=True)) if _inside(*pair)}
    if len(differs) > max(1, len(now.bars) // 2):
        return None  # hardly the same piece
    changed = {i for i in differs if not now.bars[i].repeat}  # a repeat sign may stay what it is
    if any(_form(then.bars[i]) != _form(now.bars[i]) for i in range(len(now.bars))):
        return None
    first = assemble(read(text))
    for _ in range(ROUNDS):
        made = _written(text, now, changed, way)
        if made is None:
            return None
        after = assemble(read(made))
        wrong = _wrong(first, after, now, differs)
        if not wrong:
            return made, len(differs)
        if wrong <= changed:
            return None
        changed |= wrong
        differs |= wrong
    return None


def bars_of(piece: compiled.Piece) -> list[compiled.Bar]:
    """The bars of a piece, rest bars one by one."""
    return [bar for bar in piece.bars for _ in range(bar.rests or 1)]


def _written(text: str, now: Line, changed: Collection[int], way: Way) -> str | None:
    """Write the changed bars into the text, from the first to the last."""
    for index in sorted(changed):
        piece = assemble(read(text))
        bars = bars_of(piece)
        bar = bars[index]
        place = bar.span
        copies = sum(1 for other in piece.bars if other.offset == bar.offset)
        if bar.rests or bar.repeat == 2 or copies > 1 or text[place.start : place.end] != bar.text:
            return None
        made = write_bar(now.bars[index], bar.in_force, _entry(bars, index), way)
        if made.unsaid:
            return None
        lead = len(bar.text) - len(bar.text.lstrip())
        trail = len(bar.text) - len(bar.text.rstrip())
        padded = (
            bar.text[:lead] + made.text + bar.text[len(bar.text) - trail :] if bar.text.strip() else made.text
        )
        text = text[: place.start] + padded + text[place.end :]
    return text


def _entry(bars: list[compiled.Bar], index: int) -> Entry | None:
    if not index:
        return None
    events = bars[index - 1].events
    return (
        Entry(tuple(replace(head, span=NOWHERE) for head in events[-1].heads))
        if events
        else Entry(known=False)
    )


def _wrong(first: compiled.Piece, after: compiled.Piece, now: Line, differs: Collection[int]) -> set[int]:
    """The bars that do not say what they should: changed ones what the file says, others what they said before."""
    before, made = bars_of(first), bars_of(after)
    if len(before) != len(made):
        return set(range(len(now.bars)))
    old, new = _sounds(first), _sounds(after)
    wrong = set()
    for index, bar in enumerate(now.bars):
        if index in differs:
            right = same(bar.events, made[index].events) and _words(made[index]) == (bar.symbols, bar.signs)
        else:
            right = old.get(index) == new.get(index) and _words(before[index]) == _words(made[index])
        if not right:
            wrong.add(index)
    return wrong


def _sounds(piece: compiled.Piece) -> dict[int, list[Sound]]:
    places, at = [], 0
    for bar in piece.bars:
        places.append(at)
        at += bar.rests or 1
    found: dict[int, list[Sound]] = {}
    for sound in sounds_of_piece(piece):
        found.setdefault(places[sound.bar], []).append(sound)
    return found


def _words(bar: compiled.Bar) -> tuple[tuple[Symbol, ...], tuple[Sign, ...]]:
    music = bar.music
    return (
        tuple(Symbol(c.onset, c.name, c.doubtful) for c in music.chords),
        tuple(Sign(w.onset, w.kind, w.text) for w in music.words),
    )


def _inside(one: Bar, other: Bar) -> bool:
    """Whether what stands inside a bar differs."""
    return (one.events, one.symbols, one.signs) != (other.events, other.symbols, other.signs)


def _form(bar: Bar) -> Bar:
    """A bar without what stands inside it, and without what does not matter."""
    bare = replace(bar, events=(), symbols=(), signs=(), printed=(), unsaid=())
    return replace(bare, number="", new_system=False, repeat=0, repeat_part=0, rests=0)


def _frame(line: Line) -> Line:
    return replace(line, bars=(), credits=(), remarks=())
