"""Strings and frets from a tablature staff that stands under the staff of notes."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from music21 import clef, note, stream

from scribe.exchange.m21.events import Struck
from scribe.exchange.m21.heads import heads_of


def is_tablature(part: stream.Part) -> bool:
    """Whether a part is a tablature staff."""
    return part.recurse().getElementsByClass(clef.TabClef).first() is not None


def take_places(events: Sequence[Struck], tab: Sequence[tuple[Fraction, note.GeneralNote]]) -> None:
    """Give heads without a string the place that the tablature has for the same pitch at the same time."""
    places: dict[tuple[Fraction, int], tuple[int | None, int | None]] = {}
    for onset, each in tab:
        if not each.isRest and not each.duration.isGrace:
            for head in heads_of(each, {})[0]:
                places[onset, head.pitch.midi] = head.string, head.fret
    for event in events:
        for index, head in enumerate(event.heads):
            found = places.get((event.onset, head.pitch.midi))
            if head.string is None and found is not None:
                event.heads[index] = head._replace(string=found[0], fret=found[1])
