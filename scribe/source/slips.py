"""The usual slips: what stands where the grammar could not go on, to a fault that a player understands.

The tables are read from the top; the first entry whose two patterns match at the fault wins. To teach scribe a new
slip, add an entry to one of them, its code to `scribe.diagnostics.reading_bars` or `.reading_notes`, and a line to
the test of slips.
"""

from __future__ import annotations

from scribe.source.fault import Fault
from scribe.source.slips_notes import NOTE_SLIPS
from scribe.source.slips_words import WORD_SLIPS
from scribe.source.spot import ALPHABET, BLANK, Spot, shown, unfinished

SLIPS = WORD_SLIPS + NOTE_SLIPS
LOOK_BACK = 400  # characters of an endless word that the patterns get to see


def diagnose(text: str, at: int) -> Fault:
    """Return what is wrong at a place of a bar's text where the parser could not go on (its length: at the end)."""
    start = at
    while start and text[start - 1] not in BLANK and not (text[start - 1] == "{" and start < at):
        start -= 1
    end = at
    while end < len(text) and text[end] not in BLANK and text[end] != "}":
        end += 1
    spot = Spot(text, at, start, end)
    so_far = text[max(start, at - LOOK_BACK) : at]
    for slip in SLIPS:
        found = slip.ahead.match(text, at)
        if found and slip.behind.search(so_far):
            fault = slip.say(spot, found)
            if fault:
                return fault
    return _cannot_stand(spot)


def _cannot_stand(spot: Spot) -> Fault:
    if spot.at >= len(spot.text) or spot.text[spot.at] in BLANK:
        return unfinished(spot)
    sign = spot.text[spot.at]
    if sign not in ALPHABET:
        return Fault("unknown-sign", spot.at, spot.at + 1, f"unknown sign {shown(sign)}")
    return Fault("misplaced-sign", spot.at, spot.at + 1, f"{shown(sign)} cannot stand here")
