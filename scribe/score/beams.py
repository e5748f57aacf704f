"""Beams of every level, from the beam groups of a written bar."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import accumulate

from music21 import beam

from scribe.music.metre import Metre
from scribe.music.written import Written, WrittenBar
from scribe.score.values import nominal, starts

FLAGS = {"E": 1, "S": 2, "T": 3, "X": 4, "Y": 5}


def beams(bar: WrittenBar, metre: Metre, notes: Sequence[bool]) -> list[beam.Beams | None]:
    """Return the beams of each written note, None where it has none.

    The first level joins a group; the finer ones break at every beat inside it, and a lone one points to the
    note with which it makes up the next longer value (common practice). `notes`: which are notes, not rests.
    """
    return _Beaming(bar, metre).all(notes)


class _Beaming:
    def __init__(self, bar: WrittenBar, metre: Metre) -> None:
        self.bar = bar
        self.places = starts(bar)
        self.beats = tuple(accumulate(metre.beat_lengths))

    def all(self, notes: Sequence[bool]) -> list[beam.Beams | None]:
        made: list[beam.Beams | None] = [None] * len(self.bar.notes)
        for group in self.groups(notes):
            for position, index in enumerate(group):
                each = beam.Beams()
                for level in range(1, FLAGS[self.bar.notes[index].value] + 1):
                    each.append(*self.beam(group, position, level))
                made[index] = each
        return made

    def groups(self, notes: Sequence[bool]) -> list[list[int]]:
        groups: dict[int, list[int]] = {}
        for index, written in enumerate(self.bar.notes):
            if written.beam is not None and notes[index] and written.value in FLAGS:
                groups.setdefault(written.beam, []).append(index)
        return [group for group in groups.values() if len(group) > 1]

    def beam(self, group: list[int], position: int, level: int) -> tuple[str, ...]:
        """Return type and direction of one beam, as music21 takes them."""
        here = group[position]
        left = position > 0 and self.joined(group[position - 1], here, level)
        right = position + 1 < len(group) and self.joined(here, group[position + 1], level)
        if left or right:
            return ("continue" if left and right else "stop" if left else "start",)
        if position == 0:
            return "partial", "right"
        if position + 1 == len(group):
            return "partial", "left"
        return "partial", "left" if self.second_half(here) else "right"

    def joined(self, left: int, right: int, level: int) -> bool:
        """Whether a beam of this level goes from one note of a group to the next."""
        if min(FLAGS[self.bar.notes[left].value], FLAGS[self.bar.notes[right].value]) < level:
            return False
        over_beat = any(self.places[left] < beat <= self.places[right] for beat in self.beats)
        return level == 1 or (right == left + 1 and not over_beat)

    def second_half(self, index: int) -> bool:
        """Whether a note ends the next longer value rather than beginning it."""
        written = self.bar.notes[index]
        offset = self.places[index] - self.base(written)
        return (offset / nominal(replace(written, dots=0), self.bar.tuplets)) % 2 != 0

    def base(self, written: Written) -> Fraction:
        """Return where the counting of halves starts: the tuplet around a note, else the bar."""
        if written.tuplet is None:
            return Fraction(0)
        start = self.bar.tuplets[written.tuplet].start
        return next(p for p, n in zip(self.places, self.bar.notes, strict=False) if n.onset >= start)
