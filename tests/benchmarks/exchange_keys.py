"""How many keys imported drafts take, and how long typing them takes beside entering the same lines by mouse.

Keystroke-level model: Card, Moran & Newell 1980; K .12 good typist to .50 random letters, P 1.10, M 1.35 (their table);
a click BB .20 (Kieras 1993). The same mental steps for both ways: one for every beat on which something begins.
"""

from __future__ import annotations

import re
from collections import defaultdict
from dataclasses import replace
from fractions import Fraction

from scribe.exchange.draft import write_draft
from scribe.exchange.model import Line
from scribe.exchange.pitchtext import keys
from tests.benchmarks.corpus import Part

DENSE = 6  # notes a bar
AIMS = {"dense": 2.1, "sparse": 3.3}
P, CLICK, M = 1.10, 0.20, 1.35
SPEEDS = (0.12, 0.20, 0.28, 0.50)
_BESIDE_BARS = re.compile(r"[ ]*(:?\|+:?)[ ]*(?!$)", re.M)


class Sum:
    """What is added up for one kind of music.

    `keys`: of notes, words, bars and blanks; `tight`: the same without the blanks beside barlines, which nobody must
    type; `marks`: of slurs, marks, dynamics, chords and texts besides; `heads`: of directives.
    """

    def __init__(self) -> None:
        self.parts = self.notes = self.keys = self.tight = self.marks = self.heads = self.clicks = (
            self.thoughts
        ) = 0


class Keys:
    """Adds up parts by kind and by density."""

    def __init__(self) -> None:
        self.sums: dict[tuple[str, str], Sum] = defaultdict(Sum)

    def take(self, part: Part, text: str) -> None:
        """Count one draft."""
        notes = sum(1 for bar in part.line.bars for e in bar.events if e.heads and not e.held)
        if not notes:
            return
        sounding = [bar for bar in part.line.bars if any(event.heads for event in bar.events)]
        density = "dense" if notes >= DENSE * len(sounding) else "sparse"
        without = write_draft(bare(part.line)).text
        plain, _ = counted(without)
        tight, _ = counted(_BESIDE_BARS.sub(r"\1", without))
        whole, heads = counted(text)
        for kind in (part.kind, "all"):
            found = self.sums[density, kind]
            found.parts += 1
            found.notes += notes
            found.keys += plain
            found.tight += tight
            found.marks += whole - plain
            found.heads += heads
            clicks, thoughts = by_mouse(part.line)
            found.clicks += clicks
            found.thoughts += thoughts

    def show(self) -> None:
        for density, aim in AIMS.items():
            print(
                f"\nkeys a note ({'six or more' if density == 'dense' else 'fewer than six'} notes a bar; aim {aim})"
            )
            for (which, kind), s in sorted(
                self.sums.items(), key=lambda item: (item[0][1] == "all", item[0])
            ):
                if which == density:
                    each = [f"{value / s.notes:5.2f}" for value in (s.keys, s.tight, s.marks, s.heads)]
                    print(
                        f"  {kind:<34} {s.parts:5} parts {s.notes:8} notes {each[0]} ({each[1]} without blanks"
                        f" beside bars; marks, words, chords {each[2]}, directives {each[3]})"
                    )
            total = self.sums.get((density, "all"))
            if total is None:
                continue
            print("  seconds a note, typed and by mouse (mental steps in both; in brackets without them)")
            for k in SPEEDS:
                think = M * total.thoughts / total.notes
                ours = k * total.keys / total.notes
                theirs = (P + CLICK) * total.clicks / total.notes
                times = (theirs + think) / (ours + think)
                print(
                    f"    K {k:.2f}: {ours + think:5.2f} and {theirs + think:5.2f}: {times:4.1f} times faster"
                    f" ({ours:5.2f} and {theirs:5.2f}: {theirs / ours:4.1f})"
                )


def bare(line: Line) -> Line:
    """A line without marks, slurs, grace notes, dynamics, words and chords: notes and time alone."""
    bars = tuple(
        replace(
            bar,
            events=tuple(event._replace(marks=(), connector="", graces=()) for event in bar.events),
            signs=(),
            symbols=(),
            unsaid=(),
        )
        for bar in line.bars
    )
    return replace(line, bars=bars)


def counted(text: str) -> tuple[int, int]:
    """Return the keys of a draft's lines of music, and those of its directives that are not words."""
    music = heads = 0
    for line in text.splitlines():
        if line.lstrip()[:1] in ("|", "["):
            music += keys(line) + 1  # the end of the line
        elif line and line[0] != ";" and line.split()[0] not in ("title", "composer", "player"):
            heads += keys(" ".join(line.split())) + 1
    return music, heads


def by_mouse(line: Line) -> tuple[int, int]:
    """Return clicks and mental steps of entering a line by mouse.

    A click for each written note or rest (ties: one more), one for each change of value or of tuplet, one for each
    accidental that the key does not bring. Nothing for barlines, beams, key and metre.
    """
    clicks = thoughts = 0
    value: object = None
    for bar in line.bars:
        for printed in bar.printed:
            if printed.whole:
                continue  # left empty
            clicks += 1
            now = (printed.code, printed.tuplets)
            clicks += now != value
            value = now
        for event in bar.events:
            clicks += event.held and bool(event.heads)
            for head in event.heads:
                clicks += head.pitch.alter != bar.key.alteration(head.pitch.letter) and not event.held
        beats = {_beat(event.onset, bar.metre.beat_lengths) for event in bar.events if not event.held}
        thoughts += len(beats)
    return clicks, thoughts


def _beat(onset: Fraction, lengths: tuple[Fraction, ...]) -> int:
    at = Fraction(0)
    for index, length in enumerate(lengths):
        at += length
        if onset < at:
            return index
    return len(lengths)
