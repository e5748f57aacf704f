"""The text of one bar: every division tried, compiled again and compared; what cannot be said, said in words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import NamedTuple

from scribe.diagnostics import Span
from scribe.exchange.bartext import bar_text
from scribe.exchange.layout import Division, Needs, divisions, leaves, onsets_apart, tuplets_of
from scribe.exchange.model import Bar, Event, Head, Printed, Symbol
from scribe.exchange.pitchtext import Unsayable, Way, keys
from scribe.music import events as compiled
from scribe.music.bar import compile_bar
from scribe.music.inforce import Entry, InForce
from scribe.music.interval import simplest
from scribe.music.pitch import Pitch
from scribe.music.written import WrittenBar

NOWHERE = Span(0, 0)
TOLD = 48  # notes of a bar that are told with their places
TRIED = 6  # divisions whose text is made
OTHERWISE_PRINTED = 6  # keys that a division may cost more if it is printed as the source prints it


class BarText(NamedTuple):
    """A bar's text with what it leaves: `after` in force, `leaves` for a hold. `unsaid`: what it does not say."""

    text: str
    after: InForce
    leaves: Entry
    unsaid: tuple[str, ...]


def write_bar(bar: Bar, now: InForce, entry: Entry | None, way: Way, *, by_beats: bool = False) -> BarText:
    """Return the shortest readable text of a bar; what it cannot hold is in `unsaid`.

    `now`: in force at the bar, its own length included; `entry`: what the bar before left. `by_beats`: a word a beat
    at least, where that can be.
    """
    plain, renamed = _nameable(bar)
    apart, doubled = _symbols_apart(plain, now)
    fixed, lost = _held(apart, entry)
    lost = renamed + doubled + lost
    for eased, more in _easier(fixed, now):
        best = _best(eased, now, entry, way, by_beats=by_beats)
        if best is not None:
            return best._replace(unsaid=(*lost, *more))
    _, _, after = compile_bar("?", now, entry)
    count = sum(1 for event in bar.events if event.heads)
    reason = f"{count} note{'s' if count != 1 else ''} that no words can hold: {_rhythm(bar)}"
    return BarText("?", after, Entry(known=False), (*lost, reason))


def _nameable(bar: Bar) -> tuple[Bar, list[str]]:
    """Give notes whose names cannot be typed others, and take those that nobody hears as unheard: one such note is not
    to cost its bar.
    """
    said: dict[str, None] = {}

    def mended(head: Head) -> Head:
        if head.kind != "note":
            return head
        if not 0 <= head.pitch.midi <= 127:
            said[f"{head.pitch} lies outside what can be heard"] = None
            return head._replace(kind="unheard", string=None, fret=None)
        if abs(head.pitch.alter) > 2:
            named = simplest(head.pitch)
            said[f"{head.pitch} written as {named}"] = None
            return head._replace(pitch=named)
        return head

    events = tuple(
        event._replace(
            heads=tuple(map(mended, event.heads)),
            graces=tuple(grace._replace(head=mended(grace.head)) for grace in event.graces),
        )
        for event in bar.events
    )
    return (replace(bar, events=events), [*said]) if said else (bar, [])


def _symbols_apart(bar: Bar, now: InForce) -> tuple[Bar, list[str]]:
    """Leave the first of several chord symbols at one place; the same one twice is one."""
    kept: dict[Fraction, Symbol] = {}
    more: dict[str, None] = {}
    for symbol in bar.symbols:
        first = kept.setdefault(symbol.onset, symbol)
        if first.name != symbol.name:
            more[f"chord {symbol.name} at beat {_beat(symbol.onset, now)}"] = None
    if len(kept) == len(bar.symbols):
        return bar, []
    return replace(bar, symbols=tuple(kept.values())), [*more]


def _held(bar: Bar, entry: Entry | None) -> tuple[Bar, list[str]]:
    """Strike a note again that is tied to another one than the bar before left."""
    first = bar.events[0] if bar.events else None
    if first is None or not first.held:
        return bar, []
    before = [] if entry is None else [head.pitch for head in entry.heads if head.kind == "note"]
    if first.heads and before == [head.pitch for head in first.heads if head.kind == "note"]:
        return bar, []
    return replace(bar, events=(first._replace(held=False), *bar.events[1:])), ["a tie from another note"]


def _easier(bar: Bar, now: InForce) -> Iterator[tuple[Bar, list[str]]]:
    """The bar, then with less and less of what only a text, a mark or a stack says."""
    said: list[str] = []
    yield bar, said
    places = _beats(bar, now)
    moved = tuple(
        s._replace(onset=_before(s.onset, places)) if s.onset < bar.length else s for s in bar.signs
    )
    if moved != bar.signs:
        for sign, put in zip(bar.signs, moved, strict=True):
            if sign.onset != put.onset:
                said.append(
                    f"{sign.text}: not at beat {_beat(put.onset, now)} but at {_beat(sign.onset, now)}"
                )
        bar = replace(bar, signs=moved)
        yield bar, said
    symbols = tuple(s._replace(onset=_before(s.onset, places)) for s in bar.symbols)
    if symbols != bar.symbols:
        kept = {s.onset: s for s in symbols}
        for old, new in zip(bar.symbols, symbols, strict=True):
            if old.onset != new.onset or kept[new.onset] != new:
                said.append(f"chord {old.name} at beat {_beat(old.onset, now)}")
        bar = replace(bar, symbols=tuple(kept.values()))
        yield bar, said
    for what, without in (("strings and frets", _placeless), ("falls", _level), ("grace notes", _graceless)):
        plain = tuple(map(without, bar.events))
        if plain != bar.events:
            said.append(what)
            bar = replace(bar, events=plain)
            yield bar, said
    single = tuple(event._replace(heads=event.heads[:1]) for event in bar.events)
    if single != bar.events:
        said.append("the upper notes of stacks")
        yield replace(bar, events=single), said


def _placeless(event: Event) -> Event:
    return event._replace(heads=tuple(head._replace(string=None, fret=None) for head in event.heads))


def _level(event: Event) -> Event:
    return event._replace(marks=tuple(mark for mark in event.marks if mark != "fall"))


def _graceless(event: Event) -> Event:
    return event._replace(graces=())


def _best(bar: Bar, now: InForce, entry: Entry | None, way: Way, *, by_beats: bool) -> BarText | None:
    whole = _only_silence(bar, now)
    if whole is not None:
        return _tried(bar, whole, now, entry)
    edges = {e.onset for e in bar.events} | {s.onset for s in bar.symbols}
    breaks = {s.onset for s in bar.signs if s.onset < bar.length}
    for event in bar.events:
        if event.todo:
            breaks.add(event.onset)
    edges |= breaks
    edges -= {Fraction(0), bar.length}
    breaks -= {Fraction(0), bar.length}
    apart = onsets_apart(edges)
    tuplets = tuplets_of([(p.onset, p.length, p.tuplets) for p in bar.printed]) if apart else ()
    ways = divisions(now.metre, now.length, now.pickup, Needs(frozenset(edges), frozenset(breaks), tuplets))
    if by_beats:
        beats = len(now.metre.beat_lengths)
        ways = tuple(w for w in ways if len(leaves(w.words)) >= beats) or ways
    best: tuple[float, BarText] | None = None
    for division in ways[:TRIED]:
        if best is not None and division.cost > best[0] + (OTHERWISE_PRINTED if apart else 1):
            break
        try:
            text = bar_text(bar, division, now, way)
        except Unsayable:
            continue
        made = _tried(bar, text, now, entry)
        if made is None:
            continue
        cost = division.cost - _slots(division) + keys(text)
        if apart and bar.printed and not _as_printed(text, bar, now, entry):
            cost += OTHERWISE_PRINTED
        if best is None or cost < best[0]:
            best = (cost, made)
    return best[1] if best else None


def _slots(division: Division) -> float:
    """The keys of slots and blanks in a division's cost: the text has them too."""
    return sum(cell.slots for cell in division.cells) + len(division.words) - 1


def _only_silence(bar: Bar, now: InForce) -> str | None:
    """The text of a bar that is silent or still to do all through, if one word may fill it."""
    if len(bar.events) != 1 or bar.events[0].heads or bar.symbols or bar.signs:
        return None
    return "?" if bar.events[0].todo else "." if now.length is None else None


def _tried(bar: Bar, text: str, now: InForce, entry: Entry | None) -> BarText | None:
    """Compile a text; None unless it says what the bar says."""
    music, _, after = compile_bar(text, now, entry)
    if music.broken or not same(bar.events, music.events if not music.todo else ()):
        return None
    if music.todo or not music.events or music.events[-1].todo:
        return BarText(text, after, Entry(known=False), ())
    heads = tuple(replace(head, span=NOWHERE) for head in music.events[-1].heads)
    return BarText(text, after, Entry(heads), ())


def same(ours: Sequence[Event], made: Sequence[compiled.Event]) -> bool:
    """Whether a compiled bar has the events that were to be said: all of pitch, time and marks."""
    if not made and all(event.todo for event in ours):
        return True
    return len(ours) == len(made) and all(map(_same, ours, made))


def _same(ours: Event, made: compiled.Event) -> bool:
    if (ours.onset, ours.length, ours.todo) != (made.onset, made.length, made.todo):
        return False
    if ours.held and ours.heads:
        return made.held and _struck(ours.heads) == _struck(made.heads)
    heads = [(h.kind, h.pitch if h.kind == "note" else None, h.ghost, h.doubtful) for h in ours.heads]
    others = [(h.kind, h.pitch if h.kind == "note" else None, h.ghost, h.doubtful) for h in made.heads]
    graces = [(g.head.pitch, g.connector) for g in ours.graces]
    made_graces = [(g.head.pitch, g.connector) for g in made.graces]
    places = all(a.string in (None, b.string) for a, b in zip(ours.heads, made.heads, strict=False))
    return (
        heads == others
        and graces == made_graces
        and places
        and ours.connector == made.connector
        and set(ours.marks) == set(made.marks)
    )


def _struck(heads: Sequence[Head | compiled.Head]) -> list[tuple[str, Pitch | None]]:
    """What is struck together. Without a pitch a note has a place on the staff alone, and that may be another one."""
    return [(h.kind, h.pitch if h.kind == "note" else None) for h in heads]


def printed(bar: WrittenBar) -> tuple[Printed, ...]:
    """Return the written values of a compiled bar as a source prints them."""
    out = []
    for note in bar.notes:
        chain: list[tuple[int, int]] = []
        at = note.tuplet
        while at is not None:
            tuplet = bar.tuplets[at]
            chain.insert(0, (tuplet.actual, tuplet.normal))
            at = tuplet.parent
        out.append(Printed(note.onset, note.length, note.code, note.rest, tuple(chain), note.measure_rest))
    return tuple(out)


def _as_printed(text: str, bar: Bar, now: InForce, entry: Entry | None) -> bool:
    _, written, _ = compile_bar(text, now, entry)
    return printed(written) == bar.printed


def _beats(bar: Bar, now: InForce) -> list[Fraction]:
    places, at = [], Fraction(0)
    for beat in now.metre.beat_lengths:
        places.append(at)
        at += beat
    return [place for place in places if place < bar.length]


def _before(onset: Fraction, places: Sequence[Fraction]) -> Fraction:
    return max(place for place in places if place <= onset)


def _beat(onset: Fraction, now: InForce) -> str:
    """An onset as players count: `2`, `3 1/2`."""
    number, left = 1, onset
    for beat in now.metre.beat_lengths:
        if left < beat:
            part = left / beat
            return f"{number} {part}" if part else str(number)
        left -= beat
        number += 1
    return f"{number}"


def _rhythm(bar: Bar) -> str:
    """The notes with their places, so that a person can write them down."""
    struck = [event for event in bar.events if event.heads]
    told = [f"{'+'.join(_name(head) for head in event.heads)} at {event.onset}" for event in struck[:TOLD]]
    return f"{', '.join(told)}{' …' if len(struck) > TOLD else ''} quarters"


def _name(head: Head) -> str:
    return str(head.pitch) if head.kind == "note" else head.kind
