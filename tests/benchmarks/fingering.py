"""The figures of the left hand: `python -m tests.benchmarks.fingering`."""

from __future__ import annotations

import time
from collections import defaultdict
from collections.abc import Callable
from random import Random

from scribe import compile
from scribe.bass import fingered
from scribe.bass.fingering import solve
from scribe.bass.fretboard import Fretboard
from scribe.bass.hand import ELECTRIC
from scribe.bass.line import Moment, Tone, line_of
from scribe.bass.ways import ways
from tests.bass_practice import PRACTICE, Practice, asked, places_typed
from tests.benchmarks.measure import row

NECK = Fretboard()


def seconds(action: Callable[[], object], rounds: int) -> float:
    """The least processor time of some calls: ratios of them must not depend on what else the machine does."""
    taken = []
    for _ in range(rounds):
        start = time.process_time()
        action()
        taken.append(time.process_time() - start)
    return min(taken)


def line(count: int, seed: int = 5) -> tuple[Moment, ...]:
    """A made-up line of so many notes: steps and small leaps, some octaves, eighths and quarters at 120."""
    random = Random(seed)
    midi, moments = 40, []
    for _ in range(count):
        step = random.choice((-12, -7, -5, -4, -3, -2, -2, -1, 1, 2, 2, 3, 4, 5, 7, 12))
        midi = midi + step if 28 <= midi + step <= 60 else midi - step
        midi = max(28, min(60, midi))
        moments.append(Moment((Tone(midi),), random.choice((0.25, 0.25, 0.5)), 0.0))
    return tuple(moments)


def agreement(practice: Practice) -> tuple[int, int]:
    """How many notes of an entry lie where one of its ways has them (the nearer way), and of how many."""
    ways = [places_typed(way) for way in practice.ways]
    path = solve(asked(practice.ways[0]), NECK, ELECTRIC)
    ours = [(grip.stops[0].string, grip.stops[0].fret) if grip else None for grip in path.grips]
    return max(sum(a == b for a, b in zip(ours, way, strict=True)) for way in ways), len(ours)


def human(verbose: bool = False) -> float:
    """Agreement with common practice, note by note, in per cent; prints it by kind."""
    kinds: dict[str, list[int]] = defaultdict(lambda: [0, 0])
    for practice in PRACTICE:
        same, count = agreement(practice)
        kinds[practice.kind][0] += same
        kinds[practice.kind][1] += count
        if verbose and same < count:
            path = solve(asked(practice.ways[0]), NECK, ELECTRIC)
            ours = " ".join(
                f"{'GDAE'[g.stops[0].string - 1]}:{g.stops[0].fret}({g.stops[0].finger})"
                for g in path.grips
                if g
            )
            print(f"    {practice.name}: expected {practice.ways}, found {ours}")
    for kind, (same, count) in kinds.items():
        print(f"    {kind:<30} {same:4d} of {count:4d} notes")
    same, count = (sum(row_[i] for row_ in kinds.values()) for i in (0, 1))
    return 100 * same / count


def draft(bars: int) -> str:
    """A made-up draft of so many bars of eight notes."""
    random = Random(11)
    rows = []
    for start in range(0, bars, 4):
        words = ["".join(random.choices("abcdefg", k=2)) for _ in range(16)]
        cells = [" ".join(words[4 * i : 4 * i + 4]) for i in range(min(4, bars - start))]
        rows.append("| " + " | ".join(cells) + " |")
    return "tempo 120\nkey F\n" + "\n".join(rows) + "\n"


def fresh(count: int) -> Callable[[], object]:
    """A search for `count` ways through a whole draft of 1,000 notes that remembers nothing."""
    notes = line_of(compile(draft(125)).piece)

    def run() -> None:
        fingered._phrase.cache_clear()
        ways(notes, count)

    return run


def main() -> None:
    notes, twice = line(1000), line(2000)
    one = seconds(lambda: solve(notes, NECK, ELECTRIC), 5)
    row("1,000 notes fingered, one line", one * 1000, "ms", 150)
    row("2,000 notes / 1,000 notes", seconds(lambda: solve(twice, NECK, ELECTRIC), 5) / one, "x", 2.2)
    piece = compile(draft(125)).piece

    def page() -> None:
        fingered._phrase.cache_clear()
        fingered.fingering(piece)

    row("1,000 notes fingered, strings and frets put into the piece", seconds(page, 5) * 1000, "ms", 150)
    single = seconds(fresh(1), 5)
    for count in (2, 3, 5):
        row(f"{count} ways / one way", seconds(fresh(count), 3) / single, "x", 1.5 * count)
    found = human()
    row("notes placed otherwise than in common practice", 100 - found, "%", 5)


if __name__ == "__main__":
    main()
