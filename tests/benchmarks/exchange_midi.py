"""What is found in played MIDI files that say nothing of beats: tempo, metre, first beat, swing, notes; and whether the
confidence in the report is the share that it claims.

`python -m tests.benchmarks.exchange_midi` plays demos, lines made up at random and printed ones (seeds and works that
the search did not learn from), with 8, 12 and 15 ms of normal scatter on every note.
"""

from __future__ import annotations

import time
from collections import defaultdict
from collections.abc import Iterable, Iterator
from typing import NamedTuple

from scribe.exchange.midi import take_midi
from tests.benchmarks.played_lines import KINDS, SCATTER, Take, demos, first_note, printed, take
from tests.test_exchange_midi import played, right


class Found(NamedTuple):
    """What of a take was found: each a share, 0 or 1 but for the notes."""

    tempo: float
    metre: float
    downbeat: float
    swing: float
    notes: float
    sure: float


# --- what was found ------------------------------------------------------------------------------------------


def judge(played_: Take) -> Found:
    """Take a file in and compare."""
    taken = take_midi(played(played_.piece, played_.bpm, played_.scatter, 0.008, 0.7, played_.seed))
    line, piece = taken.line, played_.piece
    tempo = line.bars[0].tempo
    quarters = 0.0
    if tempo is not None and tempo.bpm is not None:
        quarters = float(tempo.bpm) * (1.5 if tempo.value == "Q." else 1.0)
    metres = [(bar.metre.count, bar.metre.unit) for bar in line.bars]
    wanted = piece.bars[-1].in_force.metre
    metre = max(set(metres), key=metres.count) == (wanted.count, wanted.unit)
    place = first_note((bar.length, bar.events) for bar in line.bars)
    place -= first_note((bar.music.length, bar.events) for bar in piece.bars)
    feel = line.bars[0].feel
    swing = (feel.unit if feel else "") == piece.bars[0].in_force.feel.unit
    try:
        notes = right(line, piece)
    except AssertionError:  # notes that were taken for one stack
        notes = 0.0
    return Found(
        abs(quarters / played_.bpm - 1) < 0.03, metre, metre and place % wanted.length == 0, swing, notes,
        taken.confidence,
    )  # fmt: skip


def main() -> None:
    """Print the tables."""
    report("played MIDI without beats, metre or tempo", made_up(range(200, 204)))
    report(
        "printed lines of music21's corpus, played, the half that was not learned from", printed(330, 11, 1)
    )


def made_up(seeds: Iterable[int]) -> Iterator[Take]:
    """The demos with every scatter, and lines of every kind with these seeds."""
    for scatter in SCATTER:
        yield from demos(scatter)
    for kind in KINDS:
        for seed in seeds:
            yield take(kind, seed, SCATTER[seed % len(SCATTER)])


def report(what: str, takes: Iterable[Take]) -> None:
    """Print the tables of some takes."""
    start = time.perf_counter()
    found: dict[str, list[Found]] = defaultdict(list)
    for each in takes:
        found[each.kind].append(judge(each))
    print(f"\n{what} ({sum(map(len, found.values()))} files), share found:")
    print(f"  {'':16} tempo  metre  first beat  swing  notes exact  confidence")
    every = [row for rows in found.values() for row in rows]
    for kind, rows in [*found.items(), ("all", every)]:
        mean = [sum(row[i] for row in rows) / len(rows) for i in range(len(Found._fields))]
        print("  {:16} {:5.0%}  {:5.0%}  {:10.0%}  {:5.0%}  {:11.0%}  {:10.0%}".format(kind, *mean))
    print(
        "  confidence as stated, and the share of files where tempo, metre, first beat and swing are all right:"
    )
    every = [row for rows in found.values() for row in rows]
    for low, high in ((0.0, 0.4), (0.4, 0.6), (0.6, 0.8), (0.8, 1.01)):
        rows = [row for row in every if low <= row.sure < high]
        if rows:
            hit = sum(all(row[:4]) for row in rows) / len(rows)
            sure = sum(row.sure for row in rows) / len(rows)
            print(
                f"  {low:.1f} to {min(high, 1):.1f}: {len(rows):3} files, stated {sure:.0%}, right {hit:.0%}"
            )
    print(f"  {time.perf_counter() - start:.0f} s")


if __name__ == "__main__":
    main()
