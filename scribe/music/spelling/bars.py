"""The spelling pass over drafted bars: names for what came without one, doubts about what was typed.

A phrase is what stands between section marks and long rests. Nothing is changed in place: bars that get other names
or remarks come back as new ones, all others as they are.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import lru_cache
from typing import NamedTuple

from scribe.diagnostics import Diagnostic
from scribe.music.chord import Chord
from scribe.music.draught import Draught
from scribe.music.events import Event, Head
from scribe.music.inforce import InForce
from scribe.music.key import Key
from scribe.music.name import with_name
from scribe.music.pitch import Pitch, name_at
from scribe.music.spelling.check import Doubt
from scribe.music.spelling.costs import scale_distance
from scribe.music.spelling.memo import checked, solved
from scribe.music.spelling.note import Note
from scribe.music.spelling.tables import HIGHEST, LOWEST
from scribe.music.spelling.words import chord_at, doubted, wrong_keys

LONG_REST = 4  # bars without a note that end a phrase
LONG_PHRASE = 16  # bars after which a phrase ends with its line: an edit is to cost its surroundings alone
LONGEST_PHRASE = 64  # … and after which it ends anyway
PREFERENCES = ("sharps", "flats")


class Place(NamedTuple):
    """Where a head stands: bar, and its number among the bar's heads, graces before their note."""

    bar: int
    head: int


class Sound(NamedTuple):
    """A head of a phrase with what the speller is told about it."""

    place: Place
    head: Head
    note: Note
    in_force: InForce


class Spelled(NamedTuple):
    """What the pass found out about one bar: the pitches of all its heads (None: as they are), and remarks."""

    pitches: tuple[Pitch, ...] | None = None
    remarks: tuple[Diagnostic, ...] = ()


AS_IT_IS = Spelled()


def spelled(bars: Sequence[Draught]) -> list[Spelled]:
    """Return what the spelling of the whole draft says of each bar."""
    pitches: dict[Place, Pitch] = {}
    remarks: dict[int, list[Diagnostic]] = {}
    known = heard_bars(bars)
    if any(heard.asks for heard in known):
        for indices in _phrases(bars, known):
            if any(known[i].asks for i in indices):
                _phrase(bars, indices, pitches, remarks)
    for index, remark in wrong_keys(bars, known):
        remarks.setdefault(index, []).append(remark)
    if not pitches and not remarks:
        return [AS_IT_IS] * len(bars)
    return _gather(bars, pitches, remarks)


def respelled(bar: Draught, spelling: Spelled) -> Draught:
    """Return a bar with its names and remarks."""
    if spelling == AS_IT_IS:
        return bar
    music, events = bar.music, bar.events
    if spelling.pitches is not None:
        events = renamed(bar.events, spelling.pitches)
        music = replace(music, events=events if music.events == bar.events else music.events)
    if spelling.remarks:
        music = replace(music, diagnostics=(*music.diagnostics, *spelling.remarks))
    return replace(bar, events=events, music=music)


def renamed(events: Sequence[Event], pitches: Sequence[Pitch]) -> tuple[Event, ...]:
    """Return the events with other pitches for their heads, one for each in order, graces before their note."""
    following = iter(pitches)
    done: list[Event] = []
    for event in events:
        graces = tuple(replace(g, head=_named(g.head, next(following))) for g in event.graces)
        heads = [_named(h, next(following)) for h in event.heads]
        heads.sort(key=lambda h: (h.pitch.midi, h.pitch.staff))
        done.append(replace(event, heads=tuple(heads), graces=graces))
    return tuple(done)


def _named(head: Head, pitch: Pitch) -> Head:
    return head if head.pitch == pitch else replace(head, pitch=pitch)


def heads_of(event: Event) -> tuple[Head, ...]:
    """All heads of an event, graces first."""
    return (*(g.head for g in event.graces), *event.heads) if event.graces else event.heads


# --- phrases -----------------------------------------------------------------------------------------------


def phrases(bars: Sequence[Draught]) -> Iterator[list[int]]:
    """Yield the bars of each phrase by index. Repeat signs and rests are passed over."""
    return _phrases(bars, heard_bars(bars))


def _phrases(bars: Sequence[Draught], known: Sequence[Hearing]) -> Iterator[list[int]]:
    run: list[int] = []
    silent = 0
    for index, (bar, heard) in enumerate(zip(bars, known, strict=True)):
        if bar.section and run:
            yield run
            run, silent = [], 0
        if bar.repeat:
            silent = 0
        elif heard.sounds:
            long = len(run) >= LONGEST_PHRASE or (len(run) >= LONG_PHRASE and bar.opens)
            if run and (silent >= LONG_REST or long):
                yield run
                run = []
            run.append(index)
            silent = 0
        else:
            silent += bar.rests or 1
    if run:
        yield run


def asks(bar: Draught) -> bool:
    """Whether a bar holds anything that its phrase must be looked at for."""
    return hearing(bar).asks


def _asks(bar: Draught) -> bool:
    in_force = bar.in_force
    quiet = own_names(in_force.key, in_force.chord)
    for placed in bar.music.chords:
        quiet &= own_names(in_force.key, placed.chord)
    silent = in_force.enharmonic == "free"
    return asking(bar.events, quiet, silent)


class Hearing(NamedTuple):
    """What the passes over a whole draft ask of each bar.

    `strange`: how many notes have names outside the key's scale. `own`: places on the line of fifths of the notes
    struck that are no chord tones, `foreign`: of those, the ones outside the scale.
    """

    sounds: bool
    asks: bool
    strange: int
    own: tuple[int, ...]
    foreign: tuple[int, ...]


def heard_bars(bars: Sequence[Draught]) -> list[Hearing]:
    """Return what there is to know of each bar."""
    return [bar.spelling or hearing(bar) for bar in bars]  # type: ignore[misc]


def hearing(bar: Draught) -> Hearing:
    """Return what there is to know of one bar; a bar is asked once in its life."""
    if bar.spelling is None:
        notes = [(event, head) for event in bar.events for head in event.heads if head.kind == "note"]
        tones = {chord: {t.name for t in chord.tones} for chord in _chords(bar)}
        own = [
            head.pitch
            for event, head in notes
            if not event.held
            and not ((chord := chord_at(bar, event.onset)) and head.pitch[:2] in tones[chord])
        ]
        low = bar.in_force.key.fifths - 1
        bar.spelling = Hearing(
            any(event.heads for event in bar.events),
            _asks(bar),
            sum(not low <= head.pitch.fifths <= low + 6 for _, head in notes),
            tuple(pitch.fifths for pitch in own),
            tuple(pitch.fifths for pitch in own if not low <= pitch.fifths <= low + 6),
        )
    assert isinstance(bar.spelling, Hearing)
    return bar.spelling


def _chords(bar: Draught) -> set[Chord]:
    found = {placed.chord for placed in bar.music.chords} | {bar.in_force.chord}
    return {chord for chord in found if chord is not None}


def asking(events: Sequence[Event], quiet: frozenset[tuple[str, int]], silent: bool) -> bool:
    """Whether one of a bar's heads came without a name, or has one that is not among the quiet ones."""
    for event in events:
        for head in heads_of(event):
            if head.kind != "note" or head.meant:
                continue
            if head.way in ("fret", "none"):
                return True
            if head.way == "letter" and not silent and head.pitch[:2] not in quiet:
                return True
    return False


@lru_cache(maxsize=1024)
def own_names(key: Key, chord: Chord | None) -> frozenset[tuple[str, int]]:
    """The names of the key's scale, without those that the chord has under another name."""
    tones = {Pitch(*tone.name, 0).fifths for tone in chord.tones} if chord else set()
    scale = (p for p in range(LOWEST, HIGHEST + 1) if scale_distance(p, key) == 0)
    return frozenset(name_at(p) for p in scale if all((p - tone) % 12 or p == tone for tone in tones))


def nameless(head: Head) -> bool:
    """Whether a head came without a name: from string and fret, or moved into another key by `use`."""
    return head.kind == "note" and not head.meant and head.way in ("fret", "none")


def sounds(bars: Sequence[Draught], indices: Sequence[int]) -> list[Sound]:
    """Return the heads of a phrase in order, without those that are only held on."""
    found: list[Sound] = []
    for index in indices:
        bar = bars[index]
        in_force = bar.in_force
        prefer = in_force.enharmonic if in_force.enharmonic in PREFERENCES else ""
        changes = [(c.onset, c.chord) for c in bar.music.chords if c.chord is not None]
        chord = in_force.chord
        number = 0
        for event in bar.events:
            while changes and changes[0][0] <= event.onset:
                chord = changes.pop(0)[1]
            for head in heads_of(event):
                if head.kind == "note" and not event.held:
                    name = None if nameless(head) else head.pitch.fifths
                    note = Note(head.pitch.midi, in_force.key, chord, name, prefer)
                    found.append(Sound(Place(index, number), head, note, in_force))
                number += 1
    return found


def names_of(heard: Sequence[Sound]) -> tuple[int, ...]:
    """The names of a phrase: those typed, and the best ones for the others."""
    notes = tuple(s.note for s in heard)
    if all(n.name is not None for n in notes):
        return tuple(s.head.pitch.fifths for s in heard)
    return solved(notes)


def doubts_of(heard: Sequence[Sound], names: tuple[int, ...]) -> tuple[Doubt, ...]:
    """The doubts about the typed names of a phrase."""
    asked = tuple(
        sound.note._replace(name=None if questionable(sound) else place)
        for sound, place in zip(heard, names, strict=True)
    )
    return checked(asked, names)


def doubts(bars: Sequence[Draught]) -> Iterator[tuple[int, Head, Doubt]]:
    """Yield all doubts about typed names, with the bar (by index) and the head that they are about."""
    for indices in phrases(bars):
        if any(asks(bars[i]) for i in indices):
            heard = sounds(bars, indices)
            for doubt in doubts_of(heard, names_of(heard)):
                yield heard[doubt.at].place.bar, heard[doubt.at].head, doubt


def _phrase(
    bars: Sequence[Draught],
    indices: Sequence[int],
    pitches: dict[Place, Pitch],
    remarks: dict[int, list[Diagnostic]],
) -> None:
    """Name and check one phrase."""
    heard = sounds(bars, indices)
    names = names_of(heard)
    for sound, place in zip(heard, names, strict=True):
        if sound.note.name is None:
            pitches[sound.place] = with_name(sound.note.midi, *name_at(place))
    for doubt in doubts_of(heard, names):
        sound = heard[doubt.at]
        if sound.in_force.enharmonic == "fix":
            pitches[sound.place] = with_name(sound.note.midi, *name_at(doubt.better))
        elif not bars[sound.place.bar].copied:
            said = doubted(bars[sound.place.bar], sound.head, doubt)
            if said is not None:
                remarks.setdefault(sound.place.bar, []).append(said)


def questionable(sound: Sound) -> bool:
    """Whether a typed name may be doubted: a letter, not meant, and the writer has not asked for silence."""
    return sound.head.way == "letter" and not sound.head.meant and sound.in_force.enharmonic != "free"


def _gather(
    bars: Sequence[Draught], pitches: dict[Place, Pitch], remarks: dict[int, list[Diagnostic]]
) -> list[Spelled]:
    """Put what was found together bar by bar; holds and repeat signs take the names that they go on with."""
    touched = {place.bar for place in pitches}
    done: list[Spelled] = []
    plain: tuple[Pitch, ...] | None = None  # of the last bar that is no repeat sign
    for index, bar in enumerate(bars):
        if bar.repeat:
            own = [h for event in bar.events for h in heads_of(event)]
            source = plain if bar.repeat == 1 else done[index - 2].pitches
            names = source if source is not None and len(source) == len(own) else None
            done.append(Spelled(names))
            continue
        said = tuple(remarks.get(index, ()))
        held = bool(bar.events) and bar.events[0].held
        if index not in touched and not held:
            plain = None
            done.append(Spelled(None, said) if said else AS_IT_IS)
            continue
        last = (
            {pitch.midi: pitch for pitch in _names(bars[index - 1], done[index - 1])}
            if held and index
            else {}
        )
        own = [h for event in bar.events for h in heads_of(event)]
        named: list[Pitch] = []
        number = 0
        for event in bar.events:
            for head in heads_of(event):
                pitch = pitches.get(Place(index, number), head.pitch)
                if event.held and head.kind == "note":
                    pitch = last.get(pitch.midi, pitch)
                named.append(pitch)
                number += 1
        changed = any(h.pitch != pitch for h, pitch in zip(own, named, strict=True))
        plain = tuple(named) if changed else None
        done.append(Spelled(plain, said))
    return done


def _names(bar: Draught, spelling: Spelled) -> Sequence[Pitch]:
    """The names of a bar's heads."""
    if spelling.pitches is not None:
        return spelling.pitches
    return [h.pitch for event in bar.events for h in heads_of(event)]
