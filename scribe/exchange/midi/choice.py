"""Which beats, which feel and which bars: every likely reading of the beats is told in bars, the shortest telling wins.

What a user knows of a file (`Known`) leaves out all readings that say otherwise.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from math import log2
from typing import NamedTuple, TypedDict

from scribe.exchange.known import NOTHING, Known
from scribe.exchange.midi.file import Contents, Voice
from scribe.exchange.midi.grid import FREE_COST, THREES, Grid
from scribe.exchange.midi.metre import Choice, Row, find_metre, tried
from scribe.exchange.midi.quantise import Quantised, on_grid, own_grid, played_grids
from scribe.exchange.midi.weights import BeatCosts, weigh
from scribe.exchange.model import Cannot
from scribe.music.inforce import Feel
from scribe.music.settings import seconds_a_quarter

# Beats that players count lie around these (common practice, no source; Parncutt, A perceptual
# model of pulse salience, 1994, and Moelants 2002 find 100 to 130 a minute preferred, from memory).
USUAL, USUAL_COMPOUND = 120.0, 85.0
# Bits a note that others must be better than the file's own beats: where it says no tempo, or the 120
# that stands for none (Standard MIDI Files 1.0), and where it says one.
TRUSTED, DEFAULT = (0.1, 0.5), 120
NEAR = 0.1  # octaves between a tempo that is known and the one that is found


class Where(TypedDict):
    """See `find_metre`."""

    swung: bool
    quarter: float | None


class Reading(NamedTuple):
    """Notes on a grid and the bars found for them. `margin`: bits that the next best reading takes more."""

    found: Quantised
    bars: Choice | None
    margin: float


def read_bars(voice: Voice, contents: Contents, known: Known = NOTHING) -> Reading:
    """Return the reading of a voice that takes the fewest bits; no bars where the file itself says where they lie.

    Raises:
        Cannot: no reading goes with what is known.
    """
    own = own_grid(voice, contents, known.feel)
    # A feel that is told may not be in the notes, where a program plays them straight: the beats are the file's still.
    price = own.bits if known.feel is None else min(own.bits, own_grid(voice, contents).bits)
    if own.exact:
        return _in_file(own, contents, known)
    grids = played_grids(voice, contents, _tempos(known))
    fitting = [grid for grid in grids if _fits(grid, known)]
    trusted = TRUSTED[any(round(tempo) != DEFAULT for _, tempo in contents.tempos)]
    if not grids or price <= grids[0].bits + FREE_COST + trusted * len(voice.notes):
        return _in_file(own, contents, known)
    if not fitting and known != NOTHING:
        raise Cannot(f"its notes do not go with what was told ({known.said}); leave out what is not sure")
    told = []
    for grid in fitting:
        found = on_grid(voice, contents, grid)
        metres, where = in_bars(found, known)
        choice = find_metre(found.notes, metres, **where)
        told.append((choice.bits + weigh(beat_costs(found)), found, choice))
    told.sort(key=lambda each: each[0])
    bits, found, choice = told[0]
    other = min(
        (each[0] for each in told[1:] if not _alike(each[1], found, each[2], choice)), default=bits + 20
    )
    return Reading(found, choice, min(other - bits, choice.margin))


def _in_file(own: Quantised, contents: Contents, known: Known) -> Reading:
    if contents.metres and known.metre is None:
        return Reading(own, None, 99.0)
    swung = own.feel != Feel()
    choice = find_metre(
        own.notes, tried(two=True, three=not swung, uneven=not swung, only=known.metre), swung=swung
    )
    return Reading(own, choice, choice.margin)


def _alike(a: Quantised, b: Quantised, mine: Choice, other: Choice) -> bool:
    """Whether two readings are one in all that is written."""
    near = abs(log2((a.bpm or 1) / (b.bpm or 1))) < 0.03
    same_bars = mine.metre == other.metre and _into(a, mine) == _into(b, other)
    off, other_off = ([note.onset - q.notes[0].onset for note in q.notes] for q in (a, b))
    return near and same_bars and (a.feel == b.feel or off == other_off)  # feel without a note that shows it


def _into(found: Quantised, bars: Choice) -> Fraction:
    """How far into its bar the first note begins."""
    return (found.notes[0].onset - bars.start) % bars.metre.length


def in_bars(found: Quantised, known: Known = NOTHING) -> tuple[Sequence[Row], Where]:
    """Return the metres to try for beats that were searched, and what else `find_metre` wants to know."""
    quarter = 60 / (found.bpm or USUAL) / (1.5 if found.threes else 1.0)
    even = found.feel == Feel()
    metres = tried(two=not found.threes, three=found.threes, uneven=even, only=known.metre)
    return metres, {"swung": not even, "quarter": quarter}


def beat_costs(found: Quantised) -> BeatCosts:
    """Return what beats, tempo and feel cost."""
    higher = log2((found.bpm or USUAL) / (USUAL_COMPOUND if found.threes else USUAL))
    kind = "compound" if found.threes else "tempo"
    return BeatCosts(
        misfit=found.misfit,
        swung_eighths=float(found.feel.unit == "8"),
        swung_16ths=float(found.feel.unit == "16"),
        threes=float(found.threes),
    )._replace(**{f"{kind}_higher": higher, f"{kind}_far": higher**2})


def _tempos(known: Known) -> tuple[float, ...]:
    """Beats a minute that a known tempo may mean."""
    quarter = _quarter(known)
    return () if quarter is None else (60 / quarter, 40 / quarter)


def _quarter(known: Known) -> float | None:
    """Seconds of a quarter at the tempo that is known."""
    return None if known.tempo is None else seconds_a_quarter(known.tempo)


def _fits(grid: Grid, known: Known) -> bool:
    threes = grid.swing == THREES
    quarter = _quarter(known)
    if quarter is not None and abs(log2(grid.bpm * (1.5 if threes else 1.0) * quarter / 60)) > NEAR:
        return False
    if known.metre is not None and threes != (known.metre.kind == "compound"):
        return False
    unit = "" if threes else grid.swing.unit
    return known.feel is None or unit == known.feel.unit
