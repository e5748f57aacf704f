"""What changes on the way through a MIDI file: its keys and tempos, bar by bar; what has no place there is counted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from scribe.exchange.midi.bars import Span
from scribe.exchange.midi.file import Contents
from scribe.exchange.midi.quantise import Quantised
from scribe.exchange.midi.texts import place
from scribe.exchange.model import Bar
from scribe.music.inforce import Tempo
from scribe.music.key import MODES, Key
from scribe.music.pitch import name_at

HOLDS = 2  # bars that a tempo lasts at least that is written; a shorter one is a step on the way to another
OTHER = 0.03  # a tempo nearer to the one before, as a share of it, is none that anybody counts
NEAR = Fraction(1, 2)  # quarters from a barline within which a change is meant for it


def key_named(fifths: int, minor: bool) -> Key:
    """Return the key of a signature."""
    mode = "minor" if minor else "major"
    return Key(*name_at(fifths + MODES[mode]), mode)


def keys(spans: Sequence[Span], contents: Contents, found: Quantised, first: Key) -> tuple[list[Key], int]:
    """Return the key of every bar, `first` until the file names another, and how many changes lie inside bars."""
    changes = [
        (place(time, contents, found), key_named(fifths, minor)) for time, fifths, minor in contents.keys[1:]
    ]
    starts = [span.start for span in spans]
    inside = [at for at, _ in changes if at > starts[0] and min(abs(at - start) for start in starts) > NEAR]
    out: list[Key] = []
    now = first
    for span in spans:
        while changes and changes[0][0] <= span.start + NEAR:
            now = changes.pop(0)[1]
        out.append(now)
    return out, len(inside)


def with_tempos(
    bars: Sequence[Bar], spans: Sequence[Span], contents: Contents, found: Quantised
) -> tuple[list[Bar], int]:
    """Return bars with the tempos that last a while, and how many changes are not among them.

    Where beats were searched, the file's tempos say nothing of the music, and none is written or counted.
    """
    out = list(bars)
    if not found.own:
        return out, 0
    left = 0
    now = next((tempo for time, tempo in reversed(contents.tempos) if time <= spans[0].start + NEAR), None)
    now = contents.tempos[0][1] if now is None and contents.tempos else now
    changes = [
        each
        for each in contents.tempos
        if each[0] > spans[0].start + NEAR and each[0] < spans[-1].start + spans[-1].length
    ]
    for index, (time, tempo) in enumerate(changes):
        if now is not None and abs(tempo / now - 1) <= OTHER:
            continue
        at = min(range(len(spans)), key=lambda k: abs(spans[k].start - time))
        until = changes[index + 1][0] if index + 1 < len(changes) else None
        lasts = until is None or until - time >= HOLDS * spans[at].length
        if lasts and abs(spans[at].start - time) <= NEAR and 1 <= tempo <= 999:
            out[at] = replace(out[at], tempo=Tempo("", "Q", Fraction(round(tempo))))
            now = tempo
        else:
            left += 1
    return out, left
