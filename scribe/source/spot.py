"""Where the parser stopped in a bar, and the entries of the tables of usual slips."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import NamedTuple

from scribe.source.fault import Fault, Mend

NOTE_SIGNS = "abcdefgABCDEFG1234567xu"
ALPHABET = NOTE_SIGNS + "#nw089-.~hpqv^/\\>*_='?,+:()@%{}\""
BLANK = " \t"
LONGEST_SHOWN = 40  # characters of the draft in a hint

# Pieces of patterns
END = r"(?=[ \t}]|$)"
PREFIX = r"[~hp/\\^vq]"
NAME = r"(?:[A-Ga-g](?:##?|n|(?<=[A-G])[wb])?|(?:##?|bb?)?[1-7]|[xu])"


class Spot(NamedTuple):
    """Where the parser stopped: the bar's text, the place, and the word around it."""

    text: str
    at: int
    start: int  # of the word
    end: int


class Slip(NamedTuple):
    """`behind` must match up to the fault (the word so far), `ahead` from it on; then `say` makes the fault.

    `say` gets the spot and the match of `ahead`; it may return None to let the next entry try.
    """

    behind: re.Pattern[str]
    ahead: re.Pattern[str]
    say: Callable[[Spot, re.Match[str]], Fault | None]


def slip(behind: str, ahead: str, say: Callable[[Spot, re.Match[str]], Fault | None]) -> Slip:
    """Return an entry whose first pattern must end where the fault is."""
    return Slip(re.compile(f"(?:{behind})$"), re.compile(ahead), say)


def blank_missing(spot: Spot) -> Fault:
    """Return the fault of two words without a blank between, at the second one's start."""
    at = spot.at
    if (
        spot.start < at
        and (digits := re.search(r"\d+$", spot.text[spot.start : at]))
        and spot.text[at] == "{"
    ):
        at -= len(digits[0])
    what = f"words are separated by blanks, found `{spot.text[at]}` right behind another word"
    apart = spot.text[spot.start : at] + " " + spot.text[at : spot.end]
    if '"' in apart or len(apart) > LONGEST_SHOWN:
        return Fault("missing-blank", at, at + 1, what, Mend("put a blank between", " ", at, at))
    return Fault("missing-blank", at, at + 1, what, Mend("put a blank between", apart, spot.start, spot.end))


def unfinished(spot: Spot) -> Fault:
    """Return the fault of a word that ends where something must follow."""
    at = max(spot.start, spot.at - 1)
    return Fault("misplaced-sign", at, at + 1, f"expected more behind `{spot.text[at : at + 1]}`")


def shown(sign: str) -> str:
    """Return a sign as a message may hold it."""
    return f"`{sign}`" if sign.isprintable() else f"`U+{ord(sign):04X}`"
