"""Putting better names into the text, and showing what they were chosen by."""

from __future__ import annotations

from typing import NamedTuple

from scribe.diagnostics import Span
from scribe.music.rewrite.draft import Rewritten, walk
from scribe.music.rewrite.edit import Edit, aligned, apply
from scribe.music.spelling.bars import doubts
from scribe.music.spelling.explain import Explanation, explain
from scribe.music.spelling.phrases import Sound, phrases, sounds
from scribe.music.spelling.words import mend

ROUNDS = 4  # a name put right may throw light on the one beside it


def respell(text: str) -> Rewritten:
    """Give every doubtful name the better one; only those notes change, and octave marks that they bring about.

    Blanks that align bars give way to a longer name and fill up after a shorter one, so that all else keeps its column.
    `changed` counts the notes renamed. Bars with typographic signs are left alone.
    """
    count = 0
    for _ in range(ROUNDS):
        text, _, more = _once(text)
        count += more
        if not more:
            break
    return Rewritten(text, (), count)


def _once(text: str) -> Rewritten:
    walked = walk(text)
    better: dict[int, dict[Span, int]] = {}
    for index, head, doubt in doubts(walked.bars):
        bar = walked.bars[index]
        if not bar.copied and bar.in_force.enharmonic not in ("fix", "free"):
            better.setdefault(index, {})[head.span] = doubt.better
    edits: list[Edit] = []
    count = 0
    for index, names in better.items():
        here = mend(walked.bars[index], names)
        edits += [edit.shift(walked.bars[index].offset) for edit in here]
        count += len(names) if here else 0
    return Rewritten(apply(text, aligned(text, edits)), (), count)


class Explained(NamedTuple):
    """A note of a bar and what the speller weighed for it."""

    sound: Sound
    explanation: Explanation


def explain_bar(text: str, number: int) -> list[Explained] | None:
    """Return what the speller weighs for the notes of a bar (by its printed number); None if there is no such bar.

    Every name is taken as open, as if all notes had come without one. `Sound.head` tells how it is typed.
    """
    bars = walk(text).bars
    wanted = [i for i, bar in enumerate(bars) if bar.number == number]
    if not wanted:
        return None
    for indices in phrases(bars):
        if wanted[0] in indices:
            heard = sounds(bars, indices)
            told = explain([s.note._replace(name=None) for s in heard])
            return [
                Explained(sound, one)
                for sound, one in zip(heard, told, strict=True)
                if sound.place.bar == wanted[0]
            ]
    return []
