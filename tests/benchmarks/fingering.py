"""The figures of the left hand: `python -m tests.benchmarks.fingering`."""

from __future__ import annotations

import sys
import time
from collections import defaultdict
from collections.abc import Callable, Sequence
from random import Random

from scribe import compile
from scribe.bass import fingered
from scribe.bass.fingering import solve
from scribe.bass.fretboard import Fretboard
from scribe.bass.hand import ELECTRIC
from scribe.bass.line import Moment, Tone, line_of
from scribe.bass.ways import ways
from scribe.bass.words import grip_name
from tests.bass_practice import PRACTICE, Practice, agreement, line_typed
from tests.bass_practice_unseen import UNSEEN
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


def human(entries: Sequence[Practice], verbose: bool = False) -> float:
    """Agreement with common practice, note by note, in per cent; prints it by kind."""
    kinds: dict[str, list[int]] = defaultdict(lambda: [0, 0])
    for practice in entries:
        same, count, ours = agreement(practice)
        kinds[practice.kind][0] += same
        kinds[practice.kind][1] += count
        if verbose and same < count:
            tuning = line_typed(practice.ways[0], practice.setting).necks[0].tuning
            found = " ".join(grip_name(grip, tuning) if grip else "?" for grip in ours)
            print(f"    {practice.name}: expected {practice.ways}, found {found}")
    for kind, (same, count) in kinds.items():
        print(f"    {kind:<45} {same:4d} of {count:4d} notes")
    same, count = (sum(row_[i] for row_ in kinds.values()) for i in (0, 1))
    print(f"    together {same} of {count} notes, {100 * same / count:.1f} %")
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
        fingered.forget()
        ways(notes, count)

    return run


def main() -> None:
    notes, twice = line(1000), line(2000)
    one = seconds(lambda: solve(notes, NECK, ELECTRIC), 5)
    row("1,000 notes fingered, one line", one * 1000, "ms", 150)
    row("2,000 notes / 1,000 notes", seconds(lambda: solve(twice, NECK, ELECTRIC), 5) / one, "x", 2.2)
    piece = compile(draft(125)).piece

    def page() -> None:
        fingered.forget()
        fingered.fingering(piece)

    row("1,000 notes fingered, strings and frets put into the piece", seconds(page, 5) * 1000, "ms", 150)
    single = seconds(fresh(1), 5)
    for count in (2, 3, 5):
        row(f"{count} ways / one way", seconds(fresh(count), 3) / single, "x", 1.5 * count)
    verbose = "-v" in sys.argv[1:]
    for name, entries in (("with the list in view", PRACTICE), ("second list", UNSEEN)):
        found = human(entries, verbose)
        row(f"notes placed otherwise than in common practice, {name}", 100 - found, "%", 5)


if __name__ == "__main__":
    main()
