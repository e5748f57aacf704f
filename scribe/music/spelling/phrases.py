"""What the spelling of a draft listens to: its phrases, what each bar asks, the sounds of a phrase with their names.

A phrase is what stands between section marks and long rests.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache
from typing import NamedTuple

from scribe.music.chord import Chord
from scribe.music.draught import Draught
from scribe.music.events import Event, Head
from scribe.music.inforce import InForce
from scribe.music.key import Key
from scribe.music.pitch import Pitch, name_at
from scribe.music.spelling.check import Doubt
from scribe.music.spelling.costs import scale_distance
from scribe.music.spelling.memo import checked, solved
from scribe.music.spelling.note import Note
from scribe.music.spelling.tables import HIGHEST, LOWEST
from scribe.music.spelling.words import chord_at

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


def heads_of(event: Event) -> tuple[Head, ...]:
    """All heads of an event, graces first."""
    return (*(g.head for g in event.graces), *event.heads) if event.graces else event.heads


def phrases(bars: Sequence[Draught]) -> Iterator[list[int]]:
    """Yield the bars of each phrase by index. Repeat signs and rests are passed over."""
    return phrases_of(bars, heard_bars(bars))


def phrases_of(bars: Sequence[Draught], known: Sequence[Hearing]) -> Iterator[list[int]]:
    """The same, given what is known of each bar."""
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


def questionable(sound: Sound) -> bool:
    """Whether a typed name may be doubted: a letter, not meant, and the writer has not asked for silence."""
    return sound.head.way == "letter" and not sound.head.meant and sound.in_force.enharmonic != "free"


def doubts_of(heard: Sequence[Sound], names: tuple[int, ...]) -> tuple[Doubt, ...]:
    """The doubts about the typed names of a phrase."""
    asked = tuple(
        sound.note._replace(name=None if questionable(sound) else place)
        for sound, place in zip(heard, names, strict=True)
    )
    return checked(asked, names)
