"""Another instrument's line becomes a bass line: one exact search over octave and fingering together.

A draft speaks in sounding pitch, so the source's transposition is undone already; what is left to choose is the
octave of every note, what can be kept of stacks, and where all of it lies. The line changes octave only where the
range or the hand demands it: such a fold costs much inside a phrase and little where the line breathes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from functools import partial
from typing import NamedTuple

from scribe.bass.alike import Memory, find_alike
from scribe.bass.fingered import effort_of
from scribe.bass.fingering import Fixed, Path, Places, Task, kept_of, places_of, price, shifted, solve
from scribe.bass.fretboard import Fretboard
from scribe.bass.grips import Grip
from scribe.bass.hand import Cost, Effort, System
from scribe.bass.line import DEAD, Line, Moment, line_of
from scribe.music.chord import Chord
from scribe.music.events import Event, GraceNote, Head
from scribe.music.interval import Interval, move
from scribe.music.key import Key
from scribe.music.piece import Bar, Piece
from scribe.music.pitch import LETTERS, Pitch

FOLD = 12.0  # a change of octave inside a phrase: more than any shift saves
FOLD_AT_BREATH = 1.5  # … where the line breathes: about a shift
FOLD_AFTER_LONG = 4.0  # … and behind a note so long that the ear has let go of the line
BREATH = 0.35  # s of silence that part two phrases for the ear: a beat at 170 (from memory)
LONG = 1.5  # s (from memory)
SPREAD = 24  # semitones: nobody holds more above the lowest note of a stack
DROP = 4.0  # a note left out of a stack
MOST_OCTAVES = range(-6, 4)
_GUIDE_TONES = ((3, 4), (10, 11))  # semitones above the bass note, where no chord is known: thirds, sevenths


class Wish(NamedTuple):
    """What one way of arranging is looked for by: factors of the plain costs, and a cost of leaving the octave."""

    name: str
    fold: float = 1.0
    register: float = 0.0
    height: float = 1.0
    drop: float = 1.0


WISHES = (
    Wish("the line as it lies best"),
    Wish("low on the neck", height=6.0),
    Wish("nearer to the source's octave", register=2.5, height=0.3),
    Wish("as few changes of octave as can be", fold=8.0, height=0.3),
    Wish("stacks as full as can be", drop=8.0),
)


class Note(NamedTuple):
    """What became of a moment: `octaves` it was moved by (after the key), the heads that are left, the grip."""

    octaves: int
    kept: tuple[int, ...]  # numbers of the moment's tones
    grip: Grip | None


class Arrangement(NamedTuple):
    """A piece arranged. `source`: the piece in its new key; `piece`: the result, strings and frets filled in.

    `line` has the moments of the result; `notes[i]` says what became of each; `dropped[i]` names the pitches left out
    of it (in the new key, before the octaves). `folds`: the moments before which the octave changes; `bill` as for
    fingerings.
    """

    name: str
    source: Piece
    interval: Interval
    neck: Fretboard
    line: Line
    notes: tuple[Note, ...]
    dropped: tuple[tuple[Pitch, ...], ...]
    folds: tuple[int, ...]
    bill: tuple[Cost, ...]

    @property
    def total(self) -> float:
        return sum(cost.total for cost in self.bill)


def interval_to(key: Key, target: Key) -> Interval:
    """Return the smallest interval from one tonic to the other; a tritone goes down, where a bass has room."""
    semitones = (_tonic(target).midi - _tonic(key).midi) % 12
    steps = (LETTERS.index(target.letter) - LETTERS.index(key.letter)) % 7
    if semitones >= 6:
        return Interval(steps - 7, semitones - 12)
    if steps == 6:  # a raised unison written as a seventh: C flat over C
        return Interval(steps - 7, semitones - 12 if semitones else 0)
    return Interval(steps, semitones)


def _tonic(key: Key) -> Pitch:
    return Pitch(key.letter, key.alter, 4)


def arrange(
    piece: Piece,
    neck: Fretboard,
    *,
    interval: Interval = Interval(0, 0),  # noqa: B008 - a constant
    count: int = 1,
    system: System = "mixed",
) -> list[Arrangement]:
    """Return up to `count` arrangements of a piece for a neck, the best first, each different from all before.

    `interval` moves the key. Nothing is left out but notes of stacks that one hand cannot hold, and no pitch is
    changed but by octaves.
    """
    source = moved_piece(piece, interval)
    line = _unpinned(line_of(source, neck=neck))
    orders = tuple(_order(source, line, i) for i in range(len(line.moments)))
    found: list[Arrangement] = []
    for wish in WISHES[: max(1, int(1.5 * count))]:
        if len(found) == count:
            break
        made = _one(source, line, orders, neck, interval, wish, system, _taken(found))
        if all(made.notes != other.notes for other in found):
            found.append(made)
    return found


def moved_piece(piece: Piece, interval: Interval) -> Piece:
    """Return the piece with every pitch moved by an interval."""
    if interval == Interval(0, 0):
        return piece
    return replace(piece, bars=tuple(_moved_bar(bar, interval) for bar in piece.bars))


def _moved_bar(bar: Bar, interval: Interval) -> Bar:
    return replace(bar, events=tuple(_moved_event(event, interval) for event in bar.events))


def _moved_event(event: Event, interval: Interval) -> Event:
    return replace(
        event,
        heads=tuple(_moved_head(head, interval) for head in event.heads),
        graces=tuple(GraceNote(_moved_head(g.head, interval), g.connector, g.span) for g in event.graces),
    )


def _moved_head(head: Head, interval: Interval) -> Head:
    return replace(head, pitch=move(head.pitch, interval), string=None, fret=None)


def _unpinned(line: Line) -> Line:
    """The line without strings, frets and positions of the instrument that it comes from."""
    moments = [
        m._replace(
            tones=tuple(t._replace(string=None, fret=None) for t in m.tones if t.midi != DEAD or t.string),
            position=None,
        )
        for m in line.moments
    ]
    return replace(line, moments=moments)


# --- stacks ----------------------------------------------------------------------------------------------------


def _order(piece: Piece, line: Line, i: int) -> tuple[int, ...]:
    """The notes of a stack in the order in which they are kept: bass note, guide tones, top note, the others."""
    tones = line.moments[i].tones
    if len(tones) < 2:
        return ()
    place = line.places[i]
    bar = piece.bars[place.bar]
    event = bar.events[place.event]
    bass, top = 0, len(tones) - 1
    guides = _guides(chord_at(bar, event.onset), [event.heads[h].pitch for h in place.heads])
    rest = range(top - 1, 0, -1)
    reached = [
        k for k, tone in enumerate(tones) if tone.midi == DEAD or tone.midi - tones[bass].midi <= SPREAD
    ]
    return tuple(
        k for k in dict.fromkeys([bass, *guides, top, *rest]) if k in reached or tones[bass].midi == DEAD
    )


def chord_at(bar: Bar, onset: Fraction) -> Chord | None:
    """Return the chord in force at an onset of a bar."""
    chord = bar.in_force.chord
    for placed in bar.music.chords:
        if placed.onset <= onset and placed.chord is not None:
            chord = placed.chord
    return chord


def _guides(chord: Chord | None, pitches: Sequence[Pitch]) -> list[int]:
    """The third and the seventh of the chord among some pitches; without a chord, above their lowest."""
    found: list[int] = []
    labels = (("3", "b3"), ("7", "b7", "bb7"))
    for degree, semitones in zip(labels, _GUIDE_TONES, strict=True):
        if chord is not None and chord.root is not None:
            names = {tone.name for tone in chord.tones if tone.label in degree}
            found += [i for i, p in enumerate(pitches) if (p.letter, p.alter) in names]
        else:
            found += [i for i, p in enumerate(pitches) if (p.midi - pitches[0].midi) % 12 in semitones]
    return found


# --- the search --------------------------------------------------------------------------------------------------


def _octaves(line: Line, neck: Fretboard) -> tuple[int, ...]:
    """The octaves that bring at least one note onto the neck, those nearest to the source first."""
    low, high = neck.sounding_range
    midis = {tone.midi for moment in line.moments for tone in moment.tones if tone.midi != DEAD}
    fits = [by for by in MOST_OCTAVES if any(low <= midi + 12 * by <= high for midi in midis)]
    return tuple(sorted(fits, key=lambda by: (abs(by), by))) or (0,)


def _folds(line: Line, factor: float) -> tuple[float, ...]:
    """What a change of octave costs before every moment."""
    costs = []
    starts = set(line.starts)
    for i in range(len(line.moments)):
        before = line.moments[i - 1] if i else None
        if i in starts or (before is not None and before.silence >= BREATH):
            cost = FOLD_AT_BREATH
        else:
            cost = FOLD_AFTER_LONG if before is not None and before.sounds >= LONG else FOLD
        costs.append(cost * factor)
    return tuple(costs)


def _taken(found: Sequence[Arrangement]) -> tuple[frozenset[Places], ...]:
    if not found:
        return ()
    return tuple(
        frozenset(places_of(note.grip) for note in row if note.grip is not None)
        for row in zip(*(way.notes for way in found), strict=True)
    )


def _one(
    source: Piece,
    line: Line,
    orders: tuple[tuple[int, ...], ...],
    neck: Fretboard,
    interval: Interval,
    wish: Wish,
    system: System,
    taken: tuple[frozenset[Places], ...],
) -> Arrangement:
    plain = effort_of(neck)
    effort = plain._replace(per_fret=wish.height * plain.per_fret)
    task = Task(
        taken=taken,
        taken_cost=0.5 if taken else 0.0,
        octaves=_octaves(line, neck),
        fold=_folds(line, wish.fold),
        register=wish.register,
        orders=orders,
        drop=DROP * wish.drop,
    )
    search = partial(_search, tuple(line.moments), neck, effort, system, task)
    path = find_alike(line, 0, len(line.moments), Memory(), search)
    return _result(source, line, orders, neck, interval, wish, system, path)


def _search(
    moments: tuple[Moment, ...],
    neck: Fretboard,
    effort: Effort,
    system: System,
    task: Task,
    fixed: tuple[Fixed | None, ...],
) -> Path:
    return solve(moments, neck, effort, system, None, task._replace(fixed=fixed if any(fixed) else ()))


def _result(
    source: Piece,
    line: Line,
    orders: tuple[tuple[int, ...], ...],
    neck: Fretboard,
    interval: Interval,
    wish: Wish,
    system: System,
    path: Path,
) -> Arrangement:
    effort = effort_of(neck)
    notes: list[Note] = []
    dropped: list[tuple[Pitch, ...]] = []
    moments: list[Moment] = []
    for i, (grip, octaves) in enumerate(zip(path.grips, path.octaves, strict=True)):
        moment = line.moments[i]
        moved = shifted(moment, octaves)
        kept = tuple(range(len(moment.tones)))
        if orders[i] and grip is not None:
            kept = kept_of(moved, orders[i], neck, effort, system)
        notes.append(Note(octaves, kept, grip))
        moments.append(moved._replace(tones=tuple(moved.tones[k] for k in kept)))
        place = line.places[i]
        heads = heads_of(source, line, i)
        dropped.append(tuple(heads[k].pitch for k in range(len(place.heads)) if k not in kept))
    bill = price(path.grips, moments, neck, effort)
    folds = tuple(
        i
        for i in range(1, len(notes))
        if notes[i].octaves != notes[i - 1].octaves and None not in (notes[i].grip, notes[i - 1].grip)
    )
    return Arrangement(
        wish.name,
        source,
        interval,
        neck,
        replace(line, moments=moments),
        tuple(notes),
        tuple(dropped),
        folds,
        tuple(bill),
    )


def heads_of(piece: Piece, line: Line, i: int) -> list[Head]:
    """Return the heads that a moment stands for, as its tones stand."""
    place = line.places[i]
    event = piece.bars[place.bar].events[place.event]
    if place.grace >= 0:
        return [event.graces[place.grace].head]
    return [event.heads[h] for h in place.heads]
