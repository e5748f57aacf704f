"""What is played again is fingered again: `/`, `%`, `use` and bars with the same notes get one fingering.

The cheapest path is found first; where it fingers one figure in two ways, the way that it uses most often (of two,
the earlier) is kept, and the path is found again with that figure held to it.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Hashable, Mapping, Sequence

from scribe.bass.breaking_off import checkpoint
from scribe.bass.fingering import Fixed, Path
from scribe.bass.grips import STAYS, Grip
from scribe.bass.line import Line

Find = Callable[[tuple[Fixed | None, ...]], Path]


def as_fixed(grip: Grip, octave: int = 0) -> Fixed:
    """Return a grip as the search takes it: where it frees the hand, the hand may be anywhere."""
    return (grip._replace(hand=STAYS) if grip.frees_the_hand else grip, octave)


Figures = Mapping[Hashable, Sequence[Fixed | None]]  # by what their bars have in common, a grip for each note


def figures_of(line: Line, grips: Sequence[Grip | None], before: int, behind: int) -> Figures:
    """Return how the figures of a fingered line are played outside some of its bars: before bar `before`, and from
    bar `behind` on.

    What comes but once, and behind, is left out: of two ways that are used as often, the earlier one is kept.
    """
    found: dict[int, list[Fixed | None]] = {}
    times: Counter[int] = Counter()
    for grip, figure, at in zip(grips, line.figures, line.places, strict=True):
        if figure is not None and not before <= at.bar < behind:
            number, place = figure
            row = found.setdefault(number, [])
            if place == 0:
                times[number] += 1 + (at.bar < before)
            if place == len(row):
                row.append(None if grip is None else as_fixed(grip))
    return {line.shapes[number]: row for number, row in found.items() if times[number] > 1}


class Memory:
    """The grips that a line has so far, for what comes back later; `known`: how figures are played elsewhere."""

    def __init__(self, line: Line | None = None, known: Figures | None = None) -> None:
        self.of_moment: dict[int, Fixed] = {}
        self.of_figure: dict[tuple[int, int], Fixed] = {}
        for number, shape in enumerate(line.shapes if line is not None and known else ()):
            for place, fixed in enumerate((known or {}).get(shape, ())):
                if fixed is not None:
                    self.of_figure[number, place] = fixed

    def keep(self, line: Line, start: int, path: Path) -> None:
        """Remember the path of a phrase that begins at moment `start`."""
        for i, (grip, octave) in enumerate(zip(path.grips, path.octaves, strict=True), start):
            if grip is None:
                continue
            self.of_moment[i] = as_fixed(grip, octave)
            figure = line.figures[i]
            if figure is not None:
                self.of_figure.setdefault(figure, self.of_moment[i])

    def known(self, line: Line, i: int) -> Fixed | None:
        """The grip that moment `i` must have for what stood before its phrase, or None."""
        root = root_of(line, i)
        found = self.of_moment.get(root) if root != i else None
        figure = line.figures[i]
        return found or (self.of_figure.get(figure) if figure is not None else None)


def root_of(line: Line, i: int) -> int:
    """The moment that moment `i` repeats in the end; itself if none."""
    while line.copies[i] >= 0:
        i = line.copies[i]
    return i


def find_alike(line: Line, start: int, end: int, memory: Memory, find: Find) -> Path:
    """Return the path of moments `start` to `end` with every figure fingered alike; `find` makes one search."""
    fixed = [memory.known(line, i) for i in range(start, end)]
    path = find(tuple(fixed))
    held = _held(line, start, path, fixed)
    return path if held is None else find(held)


def _held(
    line: Line, start: int, path: Path, fixed: Sequence[Fixed | None]
) -> tuple[Fixed | None, ...] | None:
    """What a second search must hold, None if everything is alike already."""
    grips = [
        None if grip is None else as_fixed(grip, octave)
        for grip, octave in zip(path.grips, path.octaves, strict=True)
    ]
    chosen = _figures(line, start, grips)
    held = list(fixed)
    alike = True
    count = len(grips)
    for i in range(start, start + count):
        checkpoint()
        root = root_of(line, i)
        twin = root if start <= root else i
        figure = line.figures[twin] if line.figures[twin] in chosen else line.figures[i]
        want = chosen.get(figure) if figure is not None else None
        if want is None and twin != i:
            want = grips[twin - start]
        if want is None or fixed[i - start] is not None:
            continue
        if grips[i - start] != want:
            alike = False
        held[i - start] = want
        if twin != i and held[twin - start] is None:
            held[twin - start] = want
    return None if alike else tuple(held)


def _figures(line: Line, start: int, grips: Sequence[Fixed | None]) -> Mapping[tuple[int, int], Fixed | None]:
    """The grips of every figure that comes more than once, as its most usual occurrence has them."""
    occurrences: dict[int, list[dict[int, Fixed | None]]] = defaultdict(list)
    for i, grip in enumerate(grips, start):
        checkpoint()
        figure = line.figures[i]
        if figure is None:
            continue
        number, place = figure
        if place == 0 or not occurrences[number]:
            occurrences[number].append({})
        occurrences[number][-1][place] = grip
    chosen: dict[tuple[int, int], Fixed | None] = {}
    for number, rows in occurrences.items():
        if len(rows) < 2:
            continue
        counted = Counter(tuple(sorted(row.items())) for row in rows)
        for place, grip in counted.most_common(1)[0][0]:
            chosen[number, place] = grip
    return chosen
