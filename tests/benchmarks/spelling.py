"""How well names are found and doubted: `python -m tests.benchmarks.spelling [--all] [--failures SUB-CORPUS]`.

Single lines of music21's corpus lose their printed names and get them back from the key signature alone (no chords,
no mode). The corpus is split in two by a hash of each file's name: the costs were tuned on one half, the table reports
the other (`--all` prints both). Beside the speller stand two baselines: ps13s1 (10 notes before, 42 from the note on;
its one free enharmonic shift set by the key) and the fixed window of the line of fifths from three below the tonic of
the signature's major key to eight above it.

Then the checker: doubts about names as printed (false alarms per 1,000 notes), and the share of wrong names found
when one note in 50 gets its enharmonic twin (seeded). `doubled` is the share of those where every note of that sound
in the line was renamed, as a writer does who thinks in the wrong key.
"""

from __future__ import annotations

import argparse
import random
import time
from collections import Counter
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from scribe.music.key import Key
from scribe.music.pitch import ACCIDENTAL, name_at
from scribe.music.spelling.check import check_names
from scribe.music.spelling.note import Note
from scribe.music.spelling.speller import solve
from scribe.music.spelling.tables import HIGHEST, LOWEST
from tests.benchmarks.lines import Line, Printed, load
from tests.benchmarks.ps13s1 import ps13s1, shifted

REPORTED = 1  # the half of the corpus that nothing was tuned on
LONG_REST = 4  # bars without a note that end a phrase
PLANTED = 50  # one wrong name in so many notes
SEED = 20


class Names(NamedTuple):
    """Right names of a sub-corpus by each way of finding them."""

    notes: int
    window: int
    ps13s1: int
    speller: int


class Doubts(NamedTuple):
    """What the checker said: notes as printed and doubts about them, wrong names planted and found."""

    notes: int
    alarms: int
    planted: int
    found: int
    everywhere: int  # names changed at all their places
    everywhere_found: int


def as_notes(line: Line) -> tuple[list[Note], list[int]]:
    """Return the line without its names, and its names as places on the line of fifths."""
    notes = [Note(p.pitch.midi, _major(p.fifths)) for p in line.notes]
    return notes, [p.pitch.fifths for p in line.notes]


def _major(signature: int) -> Key:
    return Key(*name_at(signature), "major")


def phrases(line: Line) -> Iterator[Line]:
    """Yield the stretches of a line between long rests, as a draft is spelled."""
    run: list[Printed] = []
    for note in line.notes:
        if run and note.bar > run[-1].bar + LONG_REST:
            yield line._replace(notes=tuple(run))
            run = []
        run.append(note)
    if run:
        yield line._replace(notes=tuple(run))


def in_window(place: int, signature: int) -> bool:
    """Whether the fixed window would choose this name."""
    return -3 <= place - signature <= 8


def count_names(lines: Sequence[Line]) -> Names:
    """Spell all lines in the three ways and count the names that are as printed."""
    notes = window = baseline = right = 0
    for line in lines:
        signatures = [p.fifths for p in line.notes]
        theirs = shifted(ps13s1([p.pitch.midi for p in line.notes]), signatures)
        baseline += sum(a == p.pitch for a, p in zip(theirs, line.notes, strict=True))
        for phrase in phrases(line):
            free, printed = as_notes(phrase)
            notes += len(free)
            window += sum(in_window(p, n.key.fifths) for p, n in zip(printed, free, strict=True))
            right += sum(a == b for a, b in zip(solve(free), printed, strict=True))
    return Names(notes, window, baseline, right)


def twin(place: int) -> int:
    """The other name of a sound that has the fewest accidentals."""
    others = [p for p in (place - 12, place + 12) if LOWEST <= p <= HIGHEST]
    return min(others, key=lambda p: abs(name_at(p)[1]))


def count_doubts(lines: Sequence[Line]) -> Doubts:
    """Check all lines as printed, with single wrong names planted, and with one name changed all through."""
    dice = random.Random(SEED)
    notes = alarms = planted = found = everywhere = everywhere_found = 0
    for line in lines:
        for phrase in phrases(line):
            free, printed = as_notes(phrase)
            notes += len(free)
            alarms += len(check_names(free, printed))
            wrong = {i for i in range(len(free)) if dice.randrange(PLANTED) == 0}
            if wrong:
                typed = [twin(p) if i in wrong else p for i, p in enumerate(printed)]
                planted += len(wrong)
                found += len(wrong & {d.at for d in check_names(free, typed)})
            sound = dice.choice(sorted(set(printed)))
            wrong = {i for i, p in enumerate(printed) if p == sound}
            typed = [twin(p) if i in wrong else p for i, p in enumerate(printed)]
            everywhere += len(wrong)
            everywhere_found += len(wrong & {d.at for d in check_names(free, typed)})
    return Doubts(notes, alarms, planted, found, everywhere, everywhere_found)


def failures(lines: Sequence[Line]) -> tuple[Counter[str], list[str]]:
    """Return the wrong names by kind (degree printed as degree found, of the signature's major key), and each one."""
    kinds: Counter[str] = Counter()
    shown: list[str] = []
    for line in lines:
        for phrase in phrases(line):
            free, printed = as_notes(phrase)
            found = solve(free)
            for i, (name, right) in enumerate(zip(found, printed, strict=True)):
                if name == right:
                    continue
                tonic = free[i].key.tonic_fifths
                kinds[f"{_degree(right - tonic)} as {_degree(name - tonic)}"] += 1
                around = range(max(0, i - 5), min(len(free), i + 6))
                row = " ".join(f"[{_name(printed[k])}]" if k == i else _name(printed[k]) for k in around)
                shown.append(f"{line.name} bar {phrase.notes[i].bar + 1}: {row} found {_name(name)}")
    return kinds, shown


def _degree(above: int) -> str:
    letter, alter = name_at(above)
    return ACCIDENTAL[alter] + str("CDEFGAB".index(letter) + 1)


def _name(place: int) -> str:
    letter, alter = name_at(place)
    return letter + ACCIDENTAL[alter]


def percent(part: int, whole: int) -> str:
    """`99.96`, or `-` of nothing."""
    return f"{100 * part / whole:.2f}" if whole else "-"


def main() -> None:
    """Print the tables."""
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    options.add_argument("--all", action="store_true", help="the half that was tuned on as well")
    options.add_argument(
        "--failures", metavar="SUB-CORPUS", help="list wrong names of sub-corpora with this in their name"
    )
    asked = options.parse_args()
    sets = load()
    for half in (0, 1) if asked.all else (REPORTED,):
        chosen = {name: [line for line in lines if line.half == half] for name, lines in sets.items()}
        if asked.failures:
            for name, lines in chosen.items():
                if asked.failures in name:
                    kinds, shown = failures(lines)
                    print(name, *shown, *(f"{n:5} {kind}" for kind, n in kinds.most_common()), sep="\n  ")
            continue
        print(
            f"\n{'the half that the costs were tuned on' if half != REPORTED else 'the half kept for reporting'}"
        )
        _print(chosen)


def _print(chosen: dict[str, list[Line]]) -> None:
    print(
        f"{'':32} {'notes':>7} {'window':>7} {'ps13s1':>7} {'speller':>8}  {'alarms':>7} {'found':>7} {'doubled':>7}"
    )
    print(f"{'':32} {'':>7} {'%':>7} {'%':>7} {'%':>8}  {'/1,000':>7} {'%':>7} {'%':>7}")
    all_names: list[Names] = []
    all_doubts: list[Doubts] = []
    spent = 0.0
    for name, lines in chosen.items():
        if not lines:
            continue
        names = count_names(lines)
        start = time.perf_counter()
        doubts = count_doubts(lines)
        spent += time.perf_counter() - start
        all_names.append(names)
        all_doubts.append(doubts)
        _row(name, names, doubts)
    _row(
        "all",
        Names(*map(sum, zip(*all_names, strict=True))),
        Doubts(*map(sum, zip(*all_doubts, strict=True))),
    )
    lines = [line for some in chosen.values() for line in some]
    start = time.perf_counter()
    for line in lines:
        solve(as_notes(line)[0])
    count = sum(len(line.notes) for line in lines)
    bars = sum(len({n.bar for n in line.notes}) for line in lines)
    spent = time.perf_counter() - start
    print(
        f"spelled {count} notes in {bars} bars: {1e6 * spent / count:.0f} us a note, {1e3 * spent / bars:.3f} ms a bar"
    )


def _row(name: str, names: Names, doubts: Doubts) -> None:
    shares = [percent(n, names.notes) for n in (names.window, names.ps13s1, names.speller)]
    alarms = f"{1000 * doubts.alarms / doubts.notes:.2f}"
    found = percent(doubts.found, doubts.planted)
    everywhere = percent(doubts.everywhere_found, doubts.everywhere)
    print(
        f"{name[:32]:32} {names.notes:>7} {shares[0]:>7} {shares[1]:>7} {shares[2]:>8}"
        f"  {alarms:>7} {found:>7} {everywhere:>7}",
        flush=True,
    )


if __name__ == "__main__":
    main()
