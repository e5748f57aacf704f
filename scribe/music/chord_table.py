"""The vocabulary of chord symbols: MusicXML's kinds with their tones, and the pieces of a typed symbol."""

from __future__ import annotations

import re
from typing import Literal, NamedTuple

Degree = tuple[int, int]  # number 1-13 and alteration against the major scale of the root

_TRIADS: dict[str, tuple[Degree, ...]] = {
    "major": ((1, 0), (3, 0), (5, 0)),
    "minor": ((1, 0), (3, -1), (5, 0)),
    "augmented": ((1, 0), (3, 0), (5, 1)),
    "diminished": ((1, 0), (3, -1), (5, -1)),
}
_NINTH: tuple[Degree, ...] = ((9, 0),)
_ELEVENTH: tuple[Degree, ...] = ((9, 0), (11, 0))
_THIRTEENTH: tuple[Degree, ...] = ((9, 0), (11, 0), (13, 0))
_DOMINANT = (*_TRIADS["major"], (7, -1))
_MAJOR = (*_TRIADS["major"], (7, 0))
_MINOR = (*_TRIADS["minor"], (7, -1))

# Kind-values of MusicXML 4.0 that scribe writes, with all tones that the kind stands for (as in music21's
# `harmony.CHORD_TYPES`): the third of an 11th chord and the 11th of a 13th are in, though players leave them
# out.
KINDS: dict[str, tuple[Degree, ...]] = {
    **_TRIADS,
    "dominant": _DOMINANT,
    "major-seventh": _MAJOR,
    "minor-seventh": _MINOR,
    "diminished-seventh": (*_TRIADS["diminished"], (7, -2)),
    "augmented-seventh": (*_TRIADS["augmented"], (7, -1)),
    "half-diminished": (*_TRIADS["diminished"], (7, -1)),
    "major-minor": (*_TRIADS["minor"], (7, 0)),
    "major-sixth": (*_TRIADS["major"], (6, 0)),
    "minor-sixth": (*_TRIADS["minor"], (6, 0)),
    "dominant-ninth": _DOMINANT + _NINTH,
    "major-ninth": _MAJOR + _NINTH,
    "minor-ninth": _MINOR + _NINTH,
    "dominant-11th": _DOMINANT + _ELEVENTH,
    "major-11th": _MAJOR + _ELEVENTH,
    "minor-11th": _MINOR + _ELEVENTH,
    "dominant-13th": _DOMINANT + _THIRTEENTH,
    "major-13th": _MAJOR + _THIRTEENTH,
    "minor-13th": _MINOR + _THIRTEENTH,
    "suspended-second": ((1, 0), (2, 0), (5, 0)),
    "suspended-fourth": ((1, 0), (4, 0), (5, 0)),
    "power": ((1, 0), (5, 0)),
    "none": (),
}

# What stands above the seventh in a chord named by its highest number.
EXTENSIONS: dict[int, tuple[Degree, ...]] = {0: (), 7: (), 9: _NINTH, 11: _ELEVENTH, 13: _THIRTEENTH}

Quality = Literal["", "minor", "dim", "half", "aug"]

# (quality, "maj" before the number, number) to kind. What is missing is built from a kind here and degrees.
NAMED: dict[tuple[Quality, bool, int], str] = {
    ("", False, 0): "major",
    ("", True, 0): "major",
    ("", False, 5): "power",
    ("", False, 6): "major-sixth",
    ("", True, 6): "major-sixth",
    ("", False, 7): "dominant",
    ("", False, 9): "dominant-ninth",
    ("", False, 11): "dominant-11th",
    ("", False, 13): "dominant-13th",
    ("", True, 7): "major-seventh",
    ("", True, 9): "major-ninth",
    ("", True, 11): "major-11th",
    ("", True, 13): "major-13th",
    ("minor", False, 0): "minor",
    ("minor", False, 6): "minor-sixth",
    ("minor", False, 7): "minor-seventh",
    ("minor", False, 9): "minor-ninth",
    ("minor", False, 11): "minor-11th",
    ("minor", False, 13): "minor-13th",
    ("minor", True, 7): "major-minor",
    ("dim", False, 0): "diminished",
    ("dim", False, 7): "diminished-seventh",
    ("half", False, 0): "half-diminished",
    ("half", False, 7): "half-diminished",
    ("aug", False, 0): "augmented",
    ("aug", False, 7): "augmented-seventh",
}

# --- how a symbol is typed ---------------------------------------------------------------------------------

ROOT = r"[A-G][#b]?"
NO_CHORD = re.compile(r"N\.?C\.?")
SYMBOL = re.compile(rf"(?P<root>{ROOT})(?P<body>.*?)(?:/(?P<bass>{ROOT}))?")

TokenKind = Literal[
    "minor", "major", "dim", "half", "aug", "number", "six-nine", "sus", "add", "omit", "alter", "altered",
    "mark",
]  # fmt: skip


class Token(NamedTuple):
    """One piece of a symbol behind its root. `number` and `alter` where the kind has them, else 0."""

    kind: TokenKind
    text: str
    number: int = 0
    alter: int = 0


# Words in any case, `m` and `M` in theirs. `ma` is not the start of `madd9`, `o` not of `omit5`.
_TOKEN = re.compile(
    r"""
    (?P<six_nine>6/9|69)
    |(?P<mark>[(),]|/(?=[#b+-]?\d))
    |(?P<half>[øØ]|(?i:half-?dim))
    |(?P<major>(?i:major|maj|ma(?!dd|ug))|M(?!i|I)|[Δ∆△])
    |(?P<minor>(?i:minor|min|mi)|m)
    |(?P<dim>(?i:dim)|[°º]|o(?!mit))
    |(?P<aug>(?i:aug)|\+(?!\d))
    |(?i:sus)(?P<sus>24|2|4|7|9|13|)
    |(?i:add)(?P<add>[#b]?(?:13|11|9|6|4|2))
    |(?i:omit|no)(?P<omit>11|9|7|5|3)
    |(?P<altered>(?i:alt(?:ered)?))
    |(?P<alter>[#b+-](?:9|5)|[#+]11|[b-]13|b6)
    |(?P<number>13|11|9|7|6|5)
    """,
    re.VERBOSE,
)
_FIRST = re.compile(r"(?P<minor>-)|(?P<aug>\+(?!5))")  # what these signs mean straight after the root
_SIGN = {"#": 1, "+": 1, "b": -1, "-": -1}


def split(body: str) -> tuple[Token, ...] | None:
    """Cut what stands behind the root into its pieces; None where a piece is not known."""
    tokens: list[Token] = []
    at = 0
    while at < len(body):
        found = (_FIRST.match(body, at) if at == 0 else None) or _TOKEN.match(body, at)
        if not found:
            return None
        kind = (found.lastgroup or "").replace("_", "-")
        value = found[found.lastgroup or 0]
        digits = value.lstrip("#b+-") if kind in ("sus", "add", "omit", "alter", "number") else ""
        alter = _SIGN.get(value[0], 0) if kind in ("add", "alter") else 0
        tokens.append(Token(kind, found[0], int(digits or 0), alter))  # type: ignore[arg-type]
        at = found.end()
    return tuple(tokens)


def punctuated(tokens: tuple[Token, ...]) -> bool:
    """Tell whether brackets open and close around something, and separators stand between two things."""
    inside = False
    before = ")"
    for token in tokens:
        mark = token.text if token.kind == "mark" else ""
        if (mark == "(" and inside) or (mark == ")" and not inside) or (mark == "," and not inside):
            return False
        if mark in (")", ",", "/") and before in ("(", ",", "/"):
            return False
        inside = mark == "(" or (inside and mark != ")")
        before = mark
    return not inside
