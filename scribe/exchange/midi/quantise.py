"""Played notes on a grid: exact onsets and ends in quarters, and how far that is from what was played."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise
from statistics import median
from typing import NamedTuple

from scribe.exchange.midi.file import Contents, Note, Voice
from scribe.exchange.midi.grid import (
    EVEN,
    SWINGS,
    THREES,
    Grid,
    Swing,
    bits,
    far,
    faster,
    find_grids,
    place,
    settle,
)
from scribe.exchange.midi.readings import KEPT, readings
from scribe.music.inforce import Feel

USUAL = (1, 2, 3, 4, 6, 8)  # parts of a quarter that written music is made of
FINE = (*USUAL, 5, 7, 9, 12, 16)
PLAIN = (1, 2, 4)  # parts of a quarter where a note may end whatever begins beside it
EXACT = Fraction(9, 10)  # of the notes that lie on the file's own grid when nobody played them
CLOSE = 0.030  # seconds
TOGETHER = 0.025  # seconds between notes of one stack
BEHIND, SEVERAL = 0.05, 6  # seconds that a player is late at most, and notes that say so at least
STRUM = 0.080  # seconds from the first note of a stack to its last
PULSE = Fraction(1, 2)  # quarters; a note that fills no more than this has no rest behind it
SHORTEST = Fraction(1, 4)  # quarters; a shorter silence behind a 32nd is how the note was played
THREE_EIGHTHS = Fraction(3, 2)
MAPS = 2  # pulses that are read in other ways
ALL = 60  # readings where a tempo is known
RATIOS = ((5, 4), (4, 3), (3, 2), (5, 3), (2, 1), (7, 3))  # long to short


class Taken(NamedTuple):
    """One note or stack in quarters from the first beat. `midis` lowest first; `graces` lead to it."""

    onset: Fraction
    end: Fraction
    midis: tuple[int, ...]
    ghost: bool = False
    graces: tuple[int, ...] = ()


class Quantised(NamedTuple):
    """A voice on its grid.

    `own`: on the beats that the file counts. `threes`: the beats found divide in three, and are three eighths long.
    `exact`: without any error. `bpm`: beats a minute, None where the file says. `error`: root mean square in seconds;
    `close`: the share of notes within 30 ms; `misfit`: bits of all the errors; `bits`: what the grid takes by itself;
    `beats`: when they are played, in seconds; `lag`: how much later the notes are all through.
    """

    notes: tuple[Taken, ...]
    feel: Feel
    own: bool
    threes: bool
    exact: bool
    bpm: float | None
    error: float
    close: float
    misfit: float
    bits: float
    beats: tuple[float, ...]
    lag: float = 0.0


def own_grid(voice: Voice, contents: Contents, feel: Feel | None = None) -> Quantised:
    """Return a voice on the beats that the file counts; `feel`: this one, as it is known."""
    own = _own(voice, contents)
    lag = _lag([contents.seconds(note.onset) for note in voice.notes], own)
    onsets = [max(contents.seconds(note.onset) - lag, 0.0) for note in voice.notes]
    grid = settle(onsets, own, 0.0, compound=False)
    if feel is not None:
        ways = [swing for swing in (EVEN, *SWINGS) if swing.unit == feel.unit]
        grid = min(
            (Grid(tuple(own), swing, bits(onsets, own, swing)) for swing in ways), key=lambda each: each.bits
        )
    exact = _is_exact([note.onset for note in voice.notes])
    # As dear as a reading of the same beats: the file says its tempo, so an unusual one costs nothing.
    grid = grid._replace(bits=bits(onsets, own, grid.swing) + len(onsets) * faster(own))
    return on_grid(voice, contents, grid, own=True, exact=exact, lag=0.0 if exact else lag)


def _lag(onsets: Sequence[float], beats: Sequence[float]) -> float:
    """Seconds that notes lie behind the beats on the whole, by those near a beat; less than nothing: before.

    A player, or the device that was played into, may be late all through: that is no swing.
    """
    errors = []
    for onset in onsets:
        index = bisect_right(beats, onset + BEHIND)
        if 0 < index < len(beats) and abs(error := onset - beats[index - 1]) <= BEHIND:
            errors.append(error)
    if len(errors) < SEVERAL:
        return 0.0
    return median(errors)


def _own(voice: Voice, contents: Contents) -> list[float]:
    last = int(max(note.end for note in voice.notes)) + 2
    return [contents.seconds(Fraction(beat)) for beat in range(last + 1)]


def played_grids(voice: Voice, contents: Contents, tempos: Sequence[float] = ()) -> list[Grid]:
    """Return beats found by a search, in all their likely readings; `tempos`: beats a minute that are known."""
    onsets = [contents.seconds(note.onset) for note in voice.notes]
    grids = find_grids(onsets, tempos)
    return readings(onsets, _apart(grids), keep=ALL if tempos else KEPT) if grids else []


def _apart(grids: Sequence[Grid]) -> list[Grid]:
    """The best grids, of those with one tempo only the first."""
    out: list[Grid] = []
    for grid in grids:
        if all(abs(grid.bpm / other.bpm - 1) > 0.015 for other in out):
            out.append(grid)
    return out[:MAPS]


def on_grid(
    voice: Voice, contents: Contents, grid: Grid, *, own: bool = False, exact: bool = False, lag: float = 0.0
) -> Quantised:
    """Put the notes of a voice on a grid.

    `own`: it is the file's; `exact`: the notes lie on it without any error; `lag`: seconds that all of them are late.
    """
    notes = voice.notes
    onsets = [max(contents.seconds(note.onset) - lag, 0.0) for note in notes]
    if exact:
        starts = [nearest(note.onset, FINE) for note in notes]
        errors = [float(abs(note.onset - start)) * 0.5 for note, start in zip(notes, starts, strict=True)]
    else:
        places = [place(onset, grid) for onset in onsets]
        starts = [p.quarters for p in places]
        errors = [abs(p.error) for p in places]
    ends = _ends(notes, starts, [contents.seconds(note.end) - lag for note in notes], grid, exact=exact)
    made = _stacked(starts, ends, notes, onsets)
    if grid.swing == THREES:
        made = tuple(t._replace(onset=t.onset * THREE_EIGHTHS, end=t.end * THREE_EIGHTHS) for t in made)
    return Quantised(
        made,
        _feel(grid.swing),
        own,
        grid.swing == THREES,
        exact,
        None if own else grid.bpm,
        (sum(e * e for e in errors) / len(errors)) ** 0.5,
        sum(e <= CLOSE for e in errors) / len(errors),
        sum(far(e) for e in errors),
        grid.bits,
        grid.beats,
        lag,
    )


def _is_exact(onsets: Sequence[Fraction]) -> bool:
    """Whether the notes lie on the file's own beats as only a program puts them there."""
    near = sum(1 for onset in onsets if abs(onset - nearest(onset, USUAL)) <= Fraction(1, 300))
    return near >= EXACT * len(onsets)


def nearest(time: Fraction, parts: Sequence[int]) -> Fraction:
    """Return the nearest point of any of these divisions; of points about as near, the coarser."""
    return min(
        (Fraction(round(time * part), part) for part in parts),
        key=lambda point: (round(abs(point - time) * 600), point.denominator),
    )


def _feel(swing: Swing) -> Feel:
    if swing.unit not in ("8", "16"):
        return Feel()
    ratio = min(RATIOS, key=lambda r: abs(r[0] / (r[0] + r[1]) - swing.share))
    return Feel("swing", swing.unit, None if ratio == (2, 1) else ratio)


def _ends(
    notes: Sequence[Note], starts: Sequence[Fraction], stops: Sequence[float], grid: Grid, *, exact: bool
) -> list[Fraction]:
    """Where each note ends: at the next one if it nearly lasts until then, else at the next simple place.

    Sequencers and keyboards shorten every note by a share (its gate), so that an end lies anywhere; only
    where most notes last until the next, and all ends lie on places of written music, are odd ones meant.
    """
    ends = []
    whole = exact and _is_exact([note.end for note in notes]) and _joined(notes)
    inside: dict[int, set[int]] = {}  # how the notes that begin in a beat divide it
    for start in starts:
        inside.setdefault(int(start), set()).add(start.denominator)
    nexts = _nexts(starts)
    for index, note in enumerate(notes):
        start = starts[index]
        later = nexts[index]
        following = None if later is None else starts[later]
        if exact:
            end = nearest(note.end, FINE)
            meant = whole or end.denominator in PLAIN or end.denominator in inside.get(int(end), ())
            if meant and abs(end - note.end) <= Fraction(1, 300) and end > start:
                until = -(-end // PULSE) * PULSE if following is None else following
                rest = until - end
                short = rest < SHORTEST and end.denominator >= 8 and following is not None
                short = short or (not whole and rest * 4 <= min(until - start, Fraction(1)))
                ends.append(until if short else min(end, until))
                continue
        played = place(stops[index], grid).quarters
        simple = Fraction(1) if played - start >= 1 and not start % 1 else PULSE
        if following is not None and later is not None:
            gap = following - start
            lasting = (note.end - note.onset) / max(notes[later].onset - note.onset, Fraction(1, 96))
            beside = exact and start % PULSE == SHORTEST and gap == PULSE  # a 16th before a 16th rest
            if lasting >= Fraction(3, 5) or played >= following or (gap <= PULSE and not beside):
                ends.append(following)
                continue
            simple = SHORTEST if beside else simple
        end = max(-(-played // simple) * simple, (start // simple + 1) * simple)
        ends.append(end if following is None else min(end, following))
    return ends


def _nexts(starts: Sequence[Fraction]) -> list[int | None]:
    """For each note the index of the first later one that begins after it."""
    out: list[int | None] = [None] * len(starts)
    for index in range(len(starts) - 2, -1, -1):
        after: int | None = index + 1
        while after is not None and starts[after] <= starts[index]:
            after = out[after]
        out[index] = after
    return out


def _joined(notes: Sequence[Note]) -> bool:
    """Whether most notes last until the next, as where no gate shortens them."""
    return 2 * sum(a.end == b.onset for a, b in pairwise(notes)) >= len(notes) - 1


def _stacked(
    starts: Sequence[Fraction], ends: Sequence[Fraction], notes: Sequence[Note], onsets: Sequence[float]
) -> tuple[Taken, ...]:
    """Notes that begin together as stacks; of notes that only came to one place, the later goes to a finer one."""
    out: list[Taken] = []
    times: list[tuple[float, float]] = []  # of the first and the last note of each
    for start, end, note, onset in zip(starts, ends, notes, onsets, strict=True):
        if out and start <= out[-1].onset:
            first, last = times[-1]
            if onset - last <= TOGETHER and onset - first <= STRUM:
                times[-1] = first, onset
                midis = tuple(sorted({*out[-1].midis, note.midi}))
                ghost = out[-1].ghost and note.ghost
                out[-1] = out[-1]._replace(midis=midis, end=max(out[-1].end, end), ghost=ghost)
                continue
            start = out[-1].onset + Fraction(1, 8)
            end = max(end, start + Fraction(1, 8))
        if out and out[-1].end > start:
            out[-1] = out[-1]._replace(end=start)
        out.append(Taken(start, end, (note.midi,), note.ghost, note.graces))
        times.append((onset, onset))
    return tuple(out)
