"""The place stage: words and slots get onsets and lengths. Nothing is known of pitch here."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import NamedTuple

from scribe.diagnostics import Diagnostic, Hint, Span
from scribe.music.events import Cell, PlacedWord
from scribe.music.inforce import InForce
from scribe.music.metre import Share
from scribe.music.miscount import BAR as BAR
from scribe.music.miscount import wrong_count
from scribe.source.directions import DIRECTIONS
from scribe.source.plain import plain_line
from scribe.source.tree import (
    Again,
    Beat,
    ChordWord,
    Direction,
    Group,
    Repeat,
    Slot,
    TextWord,
    ToDo,
    Word,
)

FREE_SLOTS = frozenset((1, 2, 3, 4, 5, 6, 7, 8, 9, 12, 16))
Timed = Beat | Again | ToDo | Group


class PlacedSlot(NamedTuple):
    """A slot at its place; `slot` is None in a stretch still to do.

    `again` is the index (in `Placement.slots`) of the slot that a `/` repeats here, `span` the place of that `/`.
    """

    onset: Fraction
    length: Fraction
    slot: Slot | None
    span: Span
    again: int | None = None


class TypedChord(NamedTuple):
    """A chord word at its onset."""

    onset: Fraction
    word: ChordWord


class Placement(NamedTuple):
    """A bar's words in time. `todo`: the whole bar is still to do; `repeat`: 0, 1 or 2 (`%`, `%%`)."""

    slots: tuple[PlacedSlot, ...]
    cells: tuple[Cell, ...]
    chords: tuple[TypedChord, ...]
    words: tuple[PlacedWord, ...]
    repeat: int
    todo: bool
    diagnostics: tuple[Diagnostic, ...]


def shares(in_force: InForce) -> dict[int, tuple[Share, ...]]:
    """Return the numbers of beat words that the bar may hold, each with the stretch of every word.

    A pickup or short bar holds one word a beat begun; the part of a beat stands first in a pickup, last elsewhere.
    """
    if in_force.length is None:
        return in_force.metre.word_counts()
    lengths: list[Fraction] = []
    left = in_force.length
    beats = in_force.metre.beat_lengths
    row = beats[::-1] if in_force.pickup else beats
    for beat in row:
        if left <= 0:
            break
        lengths.append(min(beat, left))
        left -= lengths[-1]
    if in_force.pickup:
        lengths.reverse()
    stretches, at = [], Fraction(0)
    for length in lengths:
        stretches.append(Share(at, length))
        at += length
    return {len(stretches): tuple(stretches)}


def place(text: str, words: tuple[Word, ...], in_force: InForce) -> Placement:
    """Give every word and slot of a bar its onset and length, in quarters from the bar's start.

    `text` is the bar's own, for what is said of it.
    """
    return _Placer(in_force).run(text, words)


def _weights(words: tuple[Word, ...]) -> list[int]:
    """How many beat words each word stands for."""
    return [
        word.beats if isinstance(word, Group) else int(isinstance(word, Beat | Again | ToDo))
        for word in words
    ]


_ROUGH = re.compile(
    r"@(?:\d+:)?(?P<chord>[A-GN][^\s|;\":{}]*)|\"(?P<text>[^\"|]*)\"|'(?P<direction>[^\s|;\"{}]+)|[^\s{}]+"
)


def place_roughly(text: str, length: Fraction) -> Placement:
    """Place the chords, texts and directions of a bar that cannot be read about where they will stand.

    So they stay on the page and in force while a bar is being typed or has a fault.
    """
    found = list(_ROUGH.finditer(plain_line(text)))
    beats = sum(not match.lastgroup for match in found) or 1
    chords: list[TypedChord] = []
    words: list[PlacedWord] = []
    passed = 0
    for match in found:
        onset, span = length * passed / beats, Span(*match.span())
        if match["chord"]:
            name = match["chord"].rstrip("?")
            start = match.start("chord")
            doubtful = match["chord"] != name
            if onset < length and name:
                chord = ChordWord(name, 1, doubtful, span, Span(start, start + len(name)))
                chords.append(TypedChord(onset, chord))
        elif match["text"]:
            words.append(PlacedWord(onset, "text", text[span.start + 1 : span.end - 1], span))
        elif match["direction"]:
            if match["direction"].lower() in DIRECTIONS:
                words.append(PlacedWord(onset, "direction", match["direction"].lower(), span))
        else:
            passed += 1
    return Placement((), (), tuple(_apart(chords, length)), tuple(words), 0, False, ())


def _apart(chords: list[TypedChord], length: Fraction) -> list[TypedChord]:
    """Share the time up to the next chord among those at one place, as the chords of a bar without notes share it."""
    onsets = sorted({chord.onset for chord in chords})
    ends = dict(zip(onsets, [*onsets[1:], length], strict=False))  # without chords one end more
    out = []
    for chord in chords:
        here = [each for each in chords if each.onset == chord.onset]
        part = (ends[chord.onset] - chord.onset) / len(here)
        out.append(chord._replace(onset=chord.onset + part * here.index(chord)))
    return out


class _Placer:
    """Walks through the words of one bar once; its lists become the `Placement`."""

    def __init__(self, in_force: InForce) -> None:
        self.in_force = in_force
        self.slots: list[PlacedSlot] = []
        self.chords: list[TypedChord] = []
        self.words: list[PlacedWord] = []
        self.faults: list[Diagnostic] = []
        self.waiting: list[ChordWord | TextWord | Direction] = []

    def run(self, text: str, words: tuple[Word, ...]) -> Placement:
        timed = [w for w in words if isinstance(w, Beat | Again | ToDo | Group)]
        repeat = next((w.bars for w in words if isinstance(w, Repeat)), 0)
        length = self.in_force.bar_length
        if not timed or (len(timed) == 1 and isinstance(timed[0], ToDo)):
            self._spread(words, length)
            return self._done((), repeat, todo=not repeat)
        table = shares(self.in_force)
        count = sum(_weights(words))
        if count not in table:
            self.faults.append(wrong_count(text, words, count, list(table), self.in_force))
            rough = place_roughly(text, length)
            return rough._replace(diagnostics=tuple(self.faults))
        cells = self._row(words, list(table[count]), whole=count == 1)
        for word in self.waiting:  # signs behind the last beat word belong to the bar's end
            self._put(word, length)
        return self._done(cells, repeat, todo=False)

    def _done(self, cells: tuple[Cell, ...], repeat: int, todo: bool) -> Placement:
        return Placement(
            tuple(self.slots),
            cells,
            tuple(self.chords),
            tuple(self.words),
            repeat,
            todo,
            tuple(self.faults),
        )

    def _spread(self, words: tuple[Word, ...], length: Fraction) -> None:
        """Chords of a bar without beat words share it equally; its texts and directions stand at its start."""
        chords = [w for w in words if isinstance(w, ChordWord)]
        for i, chord in enumerate(chords):
            self.chords.append(TypedChord(length * i / len(chords), chord))
        timed = any(isinstance(w, Repeat | ToDo) for w in words)
        behind = False
        for word in words:
            if isinstance(word, Repeat | ToDo):
                behind = True
            elif isinstance(word, TextWord | Direction):
                self._put(word, length if timed and behind else Fraction(0))

    def _put(self, word: ChordWord | TextWord | Direction, onset: Fraction) -> None:
        if isinstance(word, TextWord):
            self.words.append(PlacedWord(onset, "text", word.text, word.span))
        elif isinstance(word, Direction):
            self.words.append(PlacedWord(onset, "direction", word.name, word.span))
        else:
            self.chords.append(TypedChord(onset, word))

    def _row(self, words: tuple[Word, ...], row: list[Share], whole: bool) -> tuple[Cell, ...]:
        """Place the words of a bar or a group; `row` holds one share a beat word."""
        cells: list[Cell] = []
        at = 0
        before: tuple[Timed, int, int] | None = (
            None  # the last timed word, its first slot and the one behind it
        )
        for word, weight in zip(words, _weights(words), strict=True):
            if isinstance(word, ChordWord | TextWord | Direction):
                self.waiting.append(word)
                continue
            if isinstance(word, Repeat):
                continue
            start = row[at].start
            length = row[at].length
            if weight > 1:
                length = row[at + weight - 1].start + row[at + weight - 1].length - start
            at += weight
            first = len(self.slots)
            source = before[0] if isinstance(word, Again) and before else word
            self._release(source, start, length)
            if isinstance(word, Again) and before is not None:
                cells.append(self._once_more(before, start, length, word.span))
            else:
                cells.append(self._word(word, start, length, whole and at == 1))
            before = (source, first, len(self.slots))
        return tuple(cells)

    def _release(self, word: Timed, start: Fraction, length: Fraction) -> None:
        """Put the chords, texts and directions that waited for this word."""
        slots = _slot_count(word)
        for waiting in self.waiting:
            onset = start
            if isinstance(waiting, ChordWord):
                if waiting.slot > slots:
                    self.faults.append(
                        Diagnostic(
                            "chord-slot",
                            "error",
                            waiting.span,
                            f"`{waiting.name}` is set at slot {waiting.slot} of a beat word with {slots}",
                            (Hint(f"the last slot is {slots}", _at_slot(waiting, slots), waiting.span),),
                        )
                    )
                elif waiting.slot > 1:
                    onset = start + length * (waiting.slot - 1) / slots
            self._put(waiting, onset)
        self.waiting.clear()

    def _word(self, word: Timed, start: Fraction, length: Fraction, whole: bool) -> Cell:
        if isinstance(word, ToDo):
            self.slots.append(PlacedSlot(start, length, None, word.span))
            return Cell(start, length, 1)
        if isinstance(word, Group):
            return self._group(word, start, length)
        assert isinstance(word, Beat)
        count = len(word.slots)
        if count not in FREE_SLOTS and not (whole and count % self.in_force.metre.count == 0):
            units = self.in_force.metre.count
            also = f" (or, as the bar's only word, a multiple of {units})" if units > 1 else ""
            self.faults.append(
                Diagnostic(
                    "slot-count",
                    "error",
                    word.span,
                    f"a beat word of {count} slots, expected 1 to 9, 12 or 16{also}",
                    (Hint("split it into more beat words, or count the holds `-` once more"),),
                )
            )
        if count == 1:
            self.slots.append(PlacedSlot(start, length, word.slots[0], word.slots[0].span))
            return Cell(start, length, 1)
        part = length / count
        at = start
        for slot in word.slots:
            self.slots.append(PlacedSlot(at, part, slot, slot.span))
            at += part
        return Cell(start, length, count)

    def _group(self, group: Group, start: Fraction, length: Fraction) -> Cell:
        count = _slot_count(group)
        part = length / count
        row = [Share(start + part * i, part) for i in range(count)]
        inner = self._row(group.words, row, whole=False)
        return Cell(start, length, count, inner)

    def _once_more(
        self, before: tuple[Timed, int, int], start: Fraction, length: Fraction, span: Span
    ) -> Cell:
        word, first, last = before
        old = self.slots[first].onset
        old_length = self.slots[last - 1].onset + self.slots[last - 1].length - old
        scale = length / old_length
        for i in range(first, last):
            slot = self.slots[i]
            self.slots.append(
                PlacedSlot(start + (slot.onset - old) * scale, slot.length * scale, slot.slot, span, i)
            )
        return Cell(start, length, _slot_count(word))


def _at_slot(chord: ChordWord, slot: int) -> str:
    return f"@{f'{slot}:' if slot > 1 else ''}{chord.name}{'?' if chord.doubtful else ''}"


def _slot_count(word: Timed) -> int:
    if isinstance(word, Beat):
        return len(word.slots)
    if isinstance(word, Group):
        return sum(_weights(word.words)) or 1
    return 1
