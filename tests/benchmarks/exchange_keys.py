"""How many keys imported drafts take, and how long typing them takes beside entering the same lines by mouse.

Keystroke-level model: Card, Moran & Newell 1980; K .12 good typist to .50 random letters, P 1.10, M 1.35 (their table);
a click BB .20 (Kieras 1993). The same mental steps for both ways, by four policies: none; M where their rules 0 to 4
put it (before each pointing that selects a command, so a value or an accidental in a palette; none before a place in
the music, and none inside a typed string, which is an argument); one for every beat on which something begins, the
musical decision (common practice, no source); and the last two together.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace
from fractions import Fraction

from scribe.exchange.draft import with_blanks, write_draft
from scribe.exchange.model import Line
from scribe.exchange.pitchtext import keys
from tests.benchmarks.corpus import Part

DENSE = 6  # notes a bar
AIMS = {"dense": 2.1, "sparse": 3.3}
P, CLICK, M = 1.10, 0.20, 1.35
SPEEDS = (0.12, 0.20, 0.28, 0.50)


class Sum:
    """What is added up for one kind of music.

    `keys`: of notes, words, bars and blanks; `spread`: the same with blanks beside barlines and one at a line's end, as
    `scribe import --blanks` writes them; `marks`: of slurs, marks, dynamics, chords and texts besides; `heads`: of
    directives. `clicks`: by mouse, `picks` of them on values and accidentals.
    """

    def __init__(self) -> None:
        self.parts = self.notes = self.keys = self.spread = self.marks = self.heads = 0
        self.clicks = self.picks = self.thoughts = 0


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
        spread, _ = counted(with_blanks(without))
        whole, heads = counted(text)
        for kind in (part.kind, "all"):
            found = self.sums[density, kind]
            found.parts += 1
            found.notes += notes
            found.keys += plain
            found.spread += spread
            found.marks += whole - plain
            found.heads += heads
            clicks, picks, thoughts = by_mouse(part.line)
            found.clicks += clicks
            found.picks += picks
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
                    each = [f"{value / s.notes:5.2f}" for value in (s.keys, s.spread, s.marks, s.heads)]
                    print(
                        f"  {kind:<34} {s.parts:5} parts {s.notes:8} notes {each[0]} ({each[1]} with blanks"
                        f" beside bars; marks, words, chords {each[2]}, directives {each[3]})"
                    )
            total = self.sums.get((density, "all"))
            if total is None:
                continue
            print("  seconds a note, typed and by mouse, and how many times faster typing is")
            print("           no mental steps        one a mouse pick       one a beat             both")
            for k in SPEEDS:
                cells = []
                for beats, picks in ((0, 0), (0, 1), (1, 0), (1, 1)):
                    think = M * beats * total.thoughts / total.notes
                    ours = k * total.keys / total.notes + think
                    theirs = ((P + CLICK) * total.clicks + M * picks * total.picks) / total.notes + think
                    cells.append(f"{ours:5.2f} {theirs:5.2f} {theirs / ours:4.1f}x")
                print(f"    K {k:.2f}  " + "      ".join(cells))


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


def by_mouse(line: Line) -> tuple[int, int, int]:
    """Return clicks, those of them that pick a value or an accidental, and mental steps of entering a line by mouse.

    A click for each written note or rest (ties: one more), one for each change of value or of tuplet, one for each
    accidental that the key does not bring. Nothing for barlines, beams, key and metre.
    """
    notes = picks = thoughts = 0
    value: object = None
    for bar in line.bars:
        for printed in bar.printed:
            if printed.whole:
                continue  # left empty
            notes += 1
            now = (printed.code, printed.tuplets)
            picks += now != value
            value = now
        for event in bar.events:
            notes += event.held and bool(event.heads)
            for head in event.heads:
                picks += head.pitch.alter != bar.key.alteration(head.pitch.letter) and not event.held
        beats = {_beat(event.onset, bar.metre.beat_lengths) for event in bar.events if not event.held}
        thoughts += len(beats)
    return notes + picks, picks, thoughts


def _beat(onset: Fraction, lengths: tuple[Fraction, ...]) -> int:
    at = Fraction(0)
    for index, length in enumerate(lengths):
        at += length
        if onset < at:
            return index
    return len(lengths)
