"""Which way of writing suits a line: letters, degrees, or strings and frets."""

from __future__ import annotations

from scribe.exchange.draft import write_draft
from scribe.exchange.model import Head, Line
from scribe.exchange.pitchtext import Hand, Unsayable, Way, keys, typed
from scribe.music.inforce import InForce
from scribe.music.resolve import Contour
from scribe.music.tuning import STANDARD

WAYS: tuple[Way, Way] = ("letter", "degree")
PLACED = 0.9  # of the notes must have a string and a fret before frets are thought of
WORTH = 0.9  # degrees must take at most so many of the keys that letters take


def best_way(line: Line) -> Way:
    """Return the way that takes the fewest keys: frets only where nearly all notes have places, degrees only where
    they save a tenth of the whole draft; else letters, which everybody reads.
    """
    totals: dict[Way, int] = {"letter": 0, "degree": 0, "fret": 0}
    notes = placed = 0
    for bar in line.bars:
        now = InForce(key=bar.key, tuning=line.tuning or STANDARD, instrument=line.instrument)
        string: int | None = None
        for event in bar.events:
            for head in event.heads:
                if head.kind != "note" or event.held:
                    continue
                notes += 1
                hand = Hand(Contour(head.pitch), string)
                for way in totals:
                    totals[way] += _keys(head, hand, now, way)
                placed += head.string is not None and head.fret is not None
                string = head.string
    if notes and placed >= PLACED * notes and totals["fret"] < totals["letter"]:
        return "fret"
    if totals["degree"] >= WORTH * totals["letter"]:
        return "letter"
    typed_as = {way: keys(write_draft(line, way).text) for way in WAYS}
    return "degree" if typed_as["degree"] <= WORTH * typed_as["letter"] else "letter"


def _keys(head: Head, hand: Hand, now: InForce, way: Way) -> int:
    try:
        return keys(typed(head, hand, now, way))
    except Unsayable:
        return 12  # it would have to be said another way, in a word of its own
