"""What a draft says and notation has no sign for, said beside the music in the draft's own words.

`show tab`, `position 5`, a time in the recording, which way a slide goes: in our files such a word stands in its bar,
where the format keeps what it has no name for (MusicXML: a hidden `<other-direction>`, MEI: `<annot>`). Other programs
leave it alone. Whoever reads a file has to doubt what stands there: what does not fit the music is left aside.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import NamedTuple

from scribe.exchange.chordnames import is_lost, sound_alike
from scribe.exchange.model import Bar, Event, Head, Line, Printed, Symbol
from scribe.exchange.values import text_value
from scribe.music import events as compiled
from scribe.music import piece as whole
from scribe.music.chord import Chord
from scribe.music.context import Context
from scribe.music.metre import Metre, parse_metre
from scribe.music.suspect import OF_THE_HAND
from scribe.music.tuning import show_tuning
from scribe.source.musicline import read_music
from scribe.source.read import read_line
from scribe.source.tree import Connector, Directive

# Directives that come back as such, in the order in which they are written.
SETTINGS = ("layout", "strings", "home", "enharmonic", "degrees", "show", "position")
LINE = "line"  # one of the draft's lines of music begins at this bar
AT = "recorded"  # a time in the recording
METRE = "time"  # how an uneven metre is grouped
LEAD = "lead"  # a connector that the signs of notation do not tell
LENGTH = "length"  # of a short bar in which nothing sounds: its rest is that of any whole bar
CHORD = "chord"  # a chord's name that the written one does not tell
FOUND = "found"  # notes whose string and fret the draft leaves open
FINEST = 1_000_000  # parts of a second
MOST = 400  # of one bar that are read
LEGATO = ("slur", "hammer", "pull")
CONNECTORS: tuple[Connector, ...] = (*LEGATO, "slide up", "slide down")  # type: ignore[assignment]
_PLACE = re.compile(r"(\d{1,4}(?:/\d{1,6})?)(?:([.,])(\d{1,2}))?")


class Place(NamedTuple):
    """A head in a bar: of the event at an onset, or of a grace note before it, by number from 0."""

    onset: Fraction
    number: int = 0
    grace: bool = False

    def __str__(self) -> str:
        """`3/2`; `3/2.1` is the second head of a stack, `3/2,0` the first grace note."""
        mark = "," if self.grace else "."
        return f"{self.onset}{mark}{self.number}" if self.grace or self.number else str(self.onset)


class Asides(NamedTuple):
    """`recording`: the audio file; `bars`: by index of the measure (each bar of rest is one) what is said there."""

    recording: str = ""
    bars: Mapping[int, Sequence[str]] = {}


# --- out ----------------------------------------------------------------------------------------------------


def asides_of(
    piece: whole.Piece, *, hand: bool = False, told: Callable[[Chord], bool] | None = None
) -> Asides:
    """Return what has to be said beside the music.

    `hand`: the file also has the fingering found for it. `told`: whether the file tells how a chord was typed.
    """
    found: dict[int, list[str]] = {}
    starts = {start for start, _ in piece.systems}
    leads = _leads(piece.bars)
    hand = hand and any(OF_THE_HAND & bar.shown.what for bar in piece.bars)
    at = 0
    before: whole.Bar | None = None
    for index, bar in enumerate(piece.bars):
        said = [] if before is not None else [f"layout {text}" for text in _layout(piece.layout)]
        said += [f"{name} {value}" for name, value in _settings(before, bar)]
        said += [LINE] if index in starts else []
        said += _short(bar)
        said += [] if bar.time is None else [f"{AT} {clock(bar.time)}"]
        said += [f"{LEAD} {place} {connector}" for place, connector in leads[index]]
        said += [
            f"{CHORD} {placed.onset} {placed.name}"
            for placed in bar.music.chords
            if is_lost(placed, bar.in_force) or (told and placed.chord and not told(placed.chord))
        ]
        free = [str(place) for place, head in _heads(bar.events) if head.string is None] if hand else []
        said += [" ".join((FOUND, *free))] if free else []
        if said:
            found[at] = said
        at += bar.rests or 1
        before = bar
    return Asides(text_value(piece.heading.recording), found)


def _settings(before: whole.Bar | None, bar: whole.Bar) -> Iterator[tuple[str, str]]:
    """The directives whose change no sign tells."""
    now = bar.in_force
    then = before.in_force if before is not None else None
    if then is not None and now.tuning != then.tuning and now.instrument.fretted:
        yield "strings", show_tuning(now.tuning)
    if now.home != (now.instrument.home if then is None else then.home):
        yield "home", str(now.home)
    if now.enharmonic != ("check" if then is None else then.enharmonic):
        yield "enharmonic", now.enharmonic
    if now.degrees != ("key" if then is None else then.degrees):
        yield "degrees", now.degrees
    if bar.shown.what != (frozenset() if before is None else before.shown.what):
        yield "show", " ".join(sorted(bar.shown.what)) or "none"
    if bar.position != (None if before is None else before.position):
        yield "position", "free" if bar.position is None else str(bar.position)
    if now.metre.kind == "asymmetric" and (then is None or now.metre != then.metre):
        yield METRE, str(now.metre)


def _short(bar: whole.Bar) -> list[str]:
    if bar.in_force.length is None or any(event.heads for event in bar.events):
        return []
    return [f"{LENGTH} {bar.music.length}" + (" pickup" if bar.in_force.pickup else "")]


def _layout(layout: whole.Layout) -> Iterator[str]:
    if layout.fit or layout.per_system:
        yield "fit" if layout.fit else str(layout.per_system)
    if layout.page != "A4":
        yield f"page {layout.page}"


def clock(seconds: Fraction) -> str:
    """Return a time in a recording as it is typed, to the microsecond: `1:02.35`, `1:00:05`."""
    whole_seconds, part = divmod(round(seconds * FINEST), FINEST)
    minutes, rest = divmod(whole_seconds, 60)
    hours, minutes = divmod(minutes, 60)
    digits = f"{rest:02}" + f".{part:06}".rstrip("0").rstrip(".")
    return f"{hours}:{minutes:02}:{digits}" if hours else f"{minutes}:{digits}"


def _heads(events: Sequence[compiled.Event]) -> Iterator[tuple[Place, compiled.Head]]:
    for event in events:
        for number, grace in enumerate(event.graces):
            yield Place(event.onset, number, grace=True), grace.head
        for number, head in enumerate(event.heads):
            yield Place(event.onset, number), head


def _leads(bars: Sequence[whole.Bar]) -> list[list[tuple[Place, Connector]]]:
    """Of each bar the connectors that its signs do not tell.

    Out of a silence there is nothing that a slur could begin at; and a slide to a higher note is read as one upwards.
    """
    out: list[list[tuple[Place, Connector]]] = []
    midi: int | None = None  # of what was struck before; None after a silence
    repeated = 0
    for bar in bars:
        row: list[tuple[Place, Connector]] = []
        if bar.ending_starts or bar.repeat or repeated:
            midi = None  # there are two notes that may lead here, or none that is printed
        repeated = bar.repeat
        for event in bar.events:
            if not event.heads:
                midi = None
                continue
            struck = [
                (Place(event.onset, i, grace=True), g.connector, g.head) for i, g in enumerate(event.graces)
            ]
            for place, connector, head in (*struck, (Place(event.onset), event.connector, event.heads[0])):
                if connector and not _told(connector, midi, head.pitch.midi):
                    row.append((place, connector))
                midi = head.pitch.midi
            if "fall" in event.marks:
                midi = None  # the hand has left the string
        if not bar.events:
            midi = None
        out.append(row)
    return out


def _told(connector: Connector, before: int | None, here: int) -> bool:
    return before is not None and (connector in LEGATO or (connector == "slide up") == (here >= before))


# --- in -----------------------------------------------------------------------------------------------------


def with_asides(line: Line, asides: Asides) -> Line:
    """Return a line with what its file says beside the music, as far as that can be and fits."""
    bars: list[Bar] = []
    grouped: Metre | None = None  # the metre whose groups are known
    lined = any(LINE in said for said in asides.bars.values())
    for index, bar in enumerate(line.bars):
        said = list(asides.bars.get(index, ()))[:MOST]
        grouped = next((metre for text in said if (metre := _metre(text)) is not None), grouped)
        if grouped is not None and bar.metre[:2] == grouped[:2]:
            bar = replace(bar, metre=grouped)
        else:
            grouped = None
        for text in said:
            bar = _of_length(text, bar)
        events = {event.onset: event for event in bar.events}
        for text in said:
            _at_note(text, events)
        bars.append(
            replace(
                bar,
                events=tuple(events[onset] for onset in sorted(events)),
                symbols=tuple(_named(symbol, said) for symbol in bar.symbols),
                new_system=index > 0 and LINE in said if lined else bar.new_system,
                directives=tuple(_directives(said)),
                time=next((time for text in said if (time := _time(text)) is not None), None),
            )
        )
    return replace(line, bars=tuple(bars), lined=lined, recording=text_value(asides.recording)[:400])


def _directives(said: Sequence[str]) -> Iterator[tuple[str, str]]:
    for name in SETTINGS:
        for text in said:
            if text.startswith(f"{name} "):
                read, _ = read_line(text)
                if isinstance(read, Directive) and read.name == name and Context().apply(read) is None:
                    yield name, read.text


def _metre(text: str) -> Metre | None:
    name, _, value = text.partition(" ")
    return parse_metre(value) if name == METRE else None


def _time(text: str) -> Fraction | None:
    name, _, value = text.partition(" ")
    music = read_music(f"{value} | |")[0] if name == AT else None
    return music.time if music is not None else None


def _at_note(text: str, events: dict[Fraction, Event]) -> None:
    """Take in what is said of single notes, where they are there."""
    name, _, value = text.partition(" ")
    if name == LEAD:
        where, _, connector = value.partition(" ")
        place = _place(where)
        event = events.get(place.onset) if place is not None else None
        known = next((each for each in CONNECTORS if each == connector), None)
        if place is None or event is None or known is None or not event.heads or event.held:
            return
        if not place.grace:
            events[place.onset] = event._replace(connector=known)
        elif place.number < len(event.graces):
            graces = list(event.graces)
            graces[place.number] = graces[place.number]._replace(connector=known)
            events[place.onset] = event._replace(graces=tuple(graces))
    elif name == FOUND:
        for each in value.split():
            place = _place(each)
            event = events.get(place.onset) if place is not None else None
            if place is not None and event is not None:
                events[place.onset] = _left_open(event, place)


def _of_length(text: str, bar: Bar) -> Bar:
    """A silent bar, shorter than its metre if that is said of it."""
    name, _, value = text.partition(" ")
    size, _, pickup = value.partition(" ")
    place = _place(size) if name == LENGTH else None
    if place is None or place != Place(place.onset) or not 0 < place.onset < bar.metre.length:
        return bar
    said = [*(symbol.onset for symbol in bar.symbols), *(sign.onset for sign in bar.signs)]
    if any(event.heads for event in bar.events) or max(said, default=Fraction(0)) > place.onset:
        return bar
    silence = Event(Fraction(0), place.onset, todo=all(event.todo for event in bar.events))
    printed = (Printed(Fraction(0), place.onset, "W", True, (), True),)
    return replace(
        bar, length=place.onset, pickup=pickup == "pickup", events=(silence,), printed=printed, repeat=0
    )


def _named(symbol: Symbol, said: Sequence[str]) -> Symbol:
    """A chord under the name that is said of it, if that is one for it."""
    start = f"{CHORD} {symbol.onset} "
    names = [text[len(start) :] for text in said if text.startswith(start)]
    return next((symbol._replace(name=name) for name in names if sound_alike(name, symbol.name)), symbol)


def _left_open(event: Event, place: Place) -> Event:
    """An event without the string and fret of one of its heads."""
    if place.grace:
        graces = tuple(
            g._replace(head=_open(g.head)) if i == place.number else g for i, g in enumerate(event.graces)
        )
        return event._replace(graces=graces)
    return event._replace(
        heads=tuple(_open(h) if i == place.number else h for i, h in enumerate(event.heads))
    )


def _open(head: Head) -> Head:
    return head._replace(string=None, fret=None)


def _place(text: str) -> Place | None:
    found = _PLACE.fullmatch(text)
    if found is None or found[1].endswith("/0"):
        return None
    try:
        return Place(Fraction(found[1]), int(found[3] or 0), grace=found[2] == ",")
    except ZeroDivisionError:
        return None
