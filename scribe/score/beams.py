"""Beams of every level, from the beam groups of a written bar."""

from __future__ import annotations

from fractions import Fraction
from itertools import accumulate

from music21 import beam

from scribe.music.metre import Metre
from scribe.music.written import WrittenBar

FLAGS = {"E": 1, "S": 2, "T": 3, "X": 4, "Y": 5}


def beams(bar: WrittenBar, metre: Metre) -> list[beam.Beams | None]:
    """Return the beams of each written note, None where it has none.

    The first level joins a group; the finer ones break at every beat inside it, and a lone one points to the
    note with which it makes up the next longer value (common practice).
    """
    return _Beaming(bar, metre).all()


class _Beaming:
    def __init__(self, bar: WrittenBar, metre: Metre) -> None:
        self.bar = bar
        self.beats = tuple(accumulate(metre.beat_lengths))

    def all(self) -> list[beam.Beams | None]:
        made: list[beam.Beams | None] = [None] * len(self.bar.notes)
        for group in self.groups():
            for position, index in enumerate(group):
                each = beam.Beams()
                for level in range(1, FLAGS[self.bar.notes[index].value] + 1):
                    each.append(*self.beam(group, position, level))
                made[index] = each
        return made

    def groups(self) -> list[list[int]]:
        groups: dict[int, list[int]] = {}
        for index, written in enumerate(self.bar.notes):
            if written.beam is not None and not written.rest and written.value in FLAGS:
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
        notes = self.bar.notes
        if min(FLAGS[notes[left].value], FLAGS[notes[right].value]) < level:
            return False
        over_beat = any(notes[left].onset < beat <= notes[right].onset for beat in self.beats)
        return level == 1 or (right == left + 1 and not over_beat)

    def second_half(self, index: int) -> bool:
        """Whether a note ends the next longer value rather than beginning it."""
        note = self.bar.notes[index]
        base = Fraction(0) if note.tuplet is None else self.bar.tuplets[note.tuplet].start
        undotted = note.length / (2 - Fraction(1, 2**note.dots))
        return (note.onset - base) / undotted % 2 != 0
