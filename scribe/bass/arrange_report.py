"""What an arrangement changed, bar by bar, so that nothing is lost in silence."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from scribe.bass.arrange import Arrangement, heads_of
from scribe.bass.fingered import Fingered, fill
from scribe.bass.grips import Relaxed
from scribe.bass.words import bar_name, grip_name, octaves_name, roman, where
from scribe.music.interval import UNISON, Interval, move_key
from scribe.music.pitch import Pitch
from scribe.music.tuning import show_tuning


def as_fingered(made: Arrangement) -> Fingered:
    """Return the arrangement as a fingered piece, for the checks of fingerings and for pictures of the neck.

    Its heads still have the source's octaves; its line has those of the bass.
    """
    grips = tuple(note.grip for note in made.notes)
    nothing: Relaxed = ""
    return fill(made.source, made.line, grips, (nothing,) * len(grips))


def report(made: Arrangement) -> list[str]:
    """Return the report as lines: the way from page to sound, the key, then every bar with what changed in it."""
    return [*_head(made), *_bars(made)]


def _head(made: Arrangement) -> list[str]:
    bars = made.source.bars
    rows = []
    for instrument in dict.fromkeys(bar.in_force.instrument for bar in bars):
        written = Interval(instrument.diatonic, instrument.chromatic)
        how = f"reads {_distance(written)} its sound" if written != UNISON else "reads what sounds"
        rows.append(f"from the {instrument.name}, which {how}; to strings {show_tuning(made.neck.tuning)}")
    if made.interval != UNISON and bars:
        key = bars[0].in_force.key
        rows.append(f"key moved {made.interval}: {key} to {move_key(key, made.interval)}")
    else:
        rows.append("key kept")
    folds, dropped = len(made.folds), sum(map(len, made.dropped))
    rows.append(
        f"{folds} change{'s' if folds != 1 else ''} of octave inside the line, "
        f"{dropped} note{'s' if dropped != 1 else ''} of stacks left out"
    )
    return rows


def _distance(interval: Interval) -> str:
    return f"a {interval.name} {'below' if interval.downward else 'above'}"


def _bars(made: Arrangement) -> list[str]:
    rows: list[tuple[int, str]] = []
    by_bar: dict[int, list[int]] = {}
    for i, place in enumerate(made.line.places):
        by_bar.setdefault(place.bar, []).append(i)
    for index, bar in enumerate(made.source.bars):
        row = by_bar.get(index, [])
        if bar.music.broken:
            rows.append((index, "has an error and is left as it is"))
        elif row:
            rows.append((index, "; ".join([_octaves(made, row), *_losses(made, row)])))
    out: list[str] = []
    start = 0
    for at in range(1, len(rows) + 1):
        if at < len(rows) and rows[at][1] == rows[start][1] and rows[at][0] == rows[at - 1][0] + 1:
            continue
        first, last = (made.source.bars[rows[i][0]] for i in (start, at - 1))
        name = bar_name(first.number) if first is last else f"bars {first.number} to {last.number}"
        out.append(f"{name}: {rows[start][1]}")
        start = at
    return out


def _octaves(made: Arrangement, row: Sequence[int]) -> str:
    """`two octaves lower`, and where in the bar that changes."""
    parts: list[str] = []
    for octaves, group in groupby(row, key=lambda i: made.notes[i].octaves):
        first = next(group)
        name = octaves_name(octaves) if octaves else "where it sounds"
        bar = made.source.bars[made.line.places[first].bar]
        at = where(bar, made.line.places[first].event).split(", ", 1)[1]
        parts.append(f"from {at} {name}" if parts else name)
    return ", ".join(parts)


def _losses(made: Arrangement, row: Sequence[int]) -> list[str]:
    said = []
    for i in row:
        place = made.line.places[i]
        bar = made.source.bars[place.bar]
        at = where(bar, place.event).split(", ", 1)[1]
        if made.notes[i].grip is None:
            said.append(f"{at}: no place on this neck")
        if made.dropped[i]:
            heads = [h.pitch for h in heads_of(made.source, made.line, i)]
            said.append(f"{at}: {_names(made.dropped[i])} left out of {_names(heads)}")
    return said


def _names(pitches: Sequence[Pitch]) -> str:
    return " ".join(map(str, pitches))


def path(made: Arrangement) -> list[str]:
    """Return the fingering of the arrangement, a line a bar."""
    rows = []
    for index, group in groupby(range(len(made.notes)), key=lambda i: made.line.places[i].bar):
        bar = made.source.bars[index]
        grips = [made.notes[i].grip for i in group]
        hands = "-".join(dict.fromkeys(roman(g.hand) for g in grips if g and not g.frees_the_hand))
        notes = " ".join(grip_name(g, made.neck.tuning) if g else "?" for g in grips)
        rows.append(f"{bar_name(bar.number)}  {hands:<8}  {notes}")
    return rows
