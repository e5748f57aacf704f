"""How pitches are typed: letters, degrees, frets; and the pieces of a note as it stands in the text."""

from __future__ import annotations

import re
from typing import NamedTuple

from scribe.diagnostics import Span
from scribe.music.key import MAJOR_DEGREES, Key
from scribe.music.pitch import Pitch
from scribe.music.tuning import Tuning, string_name

_SIGN = {-2: "w", -1: "b", 0: "", 1: "#", 2: "##"}
_SMALL = {0: "n", 1: "#", 2: "##"}
_BEFORE_DEGREE = {-2: "bb", -1: "b", 0: "", 1: "#", 2: "##"}


def letter_text(pitch: Pitch, key: Key, small: bool, sign: bool = False) -> str | None:
    """Return a pitch by letter: small if asked for and possible, else a capital; None beyond double accidentals.

    `sign`: with an accidental even where the letter alone would say it (`fn` in C, `Fn`), if there is one to type.
    """
    if abs(pitch.alter) > 2:
        return None
    if small:
        as_key = key.alteration(pitch.letter) == pitch.alter
        if as_key and not (sign and pitch.alter in _SMALL):
            return pitch.letter.lower()
        if pitch.alter in _SMALL:
            return pitch.letter.lower() + _SMALL[pitch.alter]
    return pitch.letter + ("n" if sign and pitch.alter == 0 else _SIGN[pitch.alter])


def degree_text(pitch: Pitch, tonic: int) -> str | None:
    """Return a pitch by degree of the major scale on `tonic`, a place on the line of fifths; None if out of reach."""
    above = pitch.fifths - tonic
    number = next(n for n, place in enumerate(MAJOR_DEGREES) if (place - above) % 7 == 0)
    alter = (above - MAJOR_DEGREES[number]) // 7
    return f"{_BEFORE_DEGREE[alter]}{number + 1}" if alter in _BEFORE_DEGREE else None


def fret_text(string: int, fret: int, tuning: Tuning, named: bool) -> str:
    """Return a place on the strings; `named` False leaves the string out."""
    return f"{string_name(tuning, string) if named else ''}:{fret}"


# A note as typed: what stands before its name, the name, what stands behind.
_NOTE = re.compile(
    r"(?P<before>[~hp/\\^vq]*)"
    r"(?P<name>[A-Ga-g]?[#b]?:\d+|(?:##?|bb?|n)?\d|[A-G](?:##?|n|w|b)?|[a-g](?:##?|n)?|[xu])"
    r"(?P<behind>.*)",
    re.DOTALL,
)
# A pin whose string a `b` right behind would make another: `A` and then `b` would be read as `Ab`.
OPEN_PIN = re.compile(r":[A-G]$")
# What is typed before a parenthesis or a comma belongs to the note behind it; `'v` is a mark of the note before.
_OUTSIDE = re.compile(r"(?:(?:(?<!')[~hp/\\^vq])*[(,])+$")
_CLOSED = re.compile(r"\)(?::(?:[A-G][#b]?|[a-g]#?)|=|[>*_?]|'[tpovbh])+")
_PIN = re.compile(r":[A-G][#b]?|:[a-g]#?")


class Pieces(NamedTuple):
    """A note's text from the first sign that belongs to it to the last.

    `outside` stands before a parenthesis or comma and holds that sign, `behind` after the name, `closed` from the
    closing parenthesis on.
    """

    span: Span
    outside: str
    before: str
    name: str
    behind: str
    closed: str

    def text(self, name: str, marks: int | None, bare: bool) -> str:
        """Return the note under another name with so many `^` (or, negative, `v`); None leaves its own.

        `bare`: without pin and `=`, which go with names only.
        """
        outside, before = self.outside, self.before
        if marks is not None:
            outside, before = _without_marks(outside), _without_marks(before)
            rest = before.lstrip("~hp/\\")
            signs = "^" * marks if marks > 0 else "v" * -marks
            before = before[: len(before) - len(rest)] + signs + rest
        behind, closed = (_bare(s) if bare else s for s in (self.behind, self.closed))
        return outside + before + name + behind + closed


def pieces(text: str, span: Span) -> Pieces:
    """Take the note at `span` of a bar's plain text apart. Asks for a span that the reader gave."""
    found = _NOTE.fullmatch(text[span.start : span.end])
    assert found is not None
    outside = _OUTSIDE.search(text[: span.start])
    prefix = outside[0] if outside and set(outside[0]) & {"^", "v"} else ""
    after = _CLOSED.match(text, span.end)
    closed = after[0] if after and set(after[0]) & {":", "="} else ""
    return Pieces(
        Span(span.start - len(prefix), span.end + len(closed)),
        prefix,
        found["before"],
        found["name"],
        found["behind"],
        closed,
    )


def _without_marks(text: str) -> str:
    return text.replace("^", "").replace("v", "")


def _bare(behind: str) -> str:
    return _PIN.sub("", behind).replace("=", "")
