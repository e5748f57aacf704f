"""One note as typed, taken apart: the grammar's token NOTE."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Literal, NamedTuple

from scribe.source.directions import MARKS
from scribe.source.fault import Fault, Mend
from scribe.source.tree import Connector, Degree, Fret, Letter, Mark

CONNECTORS: dict[str, Connector] = {
    "~": "slur",
    "h": "hammer",
    "p": "pull",
    "/": "slide up",
    "\\": "slide down",
}
_BEFORE = re.compile(r"[~hp/\\^vq]*")
_AFTER = re.compile(r":(?P<pin>[A-G][#b]?|[a-g]#?)|(?P<meant>=)|(?P<doubt>\?)|(?P<mark>'[tpovbh]|[>*_\\])")
_NAME = re.compile(
    r"(?P<string>[A-Ga-g]?[#b]?):(?P<fret>\d+)"
    r"|(?P<before>##?|bb?|n)?(?P<number>\d)"
    r"|(?P<letter>[A-Ga-g])(?P<sign>##?|n|(?<=[A-G])[wb])?"
    r"|[xu]"
)
Kind = Literal["FRET", "DEGREE", "LETTER", "OTHER"]
_ALTER = {None: 0, "n": 0, "#": 1, "##": 2, "b": -1, "bb": -2}
_OTHER = {"x": "a dead note", "u": "an unheard note"}


class Note(NamedTuple):
    """What one token says. `name` of a fret without its string has an empty string."""

    kind: Kind
    name: Letter | Degree | Fret | Literal["dead", "unheard"]
    contour: int
    connector: Connector
    ghost: bool
    doubtful: bool
    meant: bool
    pin: str | None
    marks: tuple[Mark, ...]
    twice: tuple[int, int] | None  # where a mark stands for the second time


@lru_cache(maxsize=4096)
def take_apart(text: str) -> Note:
    """Return the parts of one note. Raises `Fault`, its places counted in `text`."""
    found = _BEFORE.match(text)
    at = found.end() if found else 0
    contour, connector, ghost = _before(text[:at])
    core = _NAME.match(text, at)
    if core is None:  # the grammar only hands over what matches
        raise Fault("misplaced-sign", at, len(text), f"`{text[at:]}` is no note")
    kind, name = _name(core)
    pin, marks, meant, doubtful, twice = _after(text, core.end())
    if kind == "FRET":
        if contour:
            raise _useless(text, 0, at, "a fret has its octave already", "leave out the `^` or `v`", "^v")
        if pin is not None:
            raise Fault(
                "pin-on-fret", core.end(), len(text), f"`{core[0]}` has its string already: found `:{pin}`"
            )
        if meant:
            raise _useless(
                text, core.end(), len(text), "`=` means a spelling, and a fret has none", "leave it out", "="
            )
    elif kind == "OTHER":
        what = _OTHER[core[0]]
        if contour:
            raise _useless(text, 0, at, f"{what} has no octave to choose", "leave out the `^` or `v`", "^v")
        if meant:
            raise _useless(
                text, core.end(), len(text), f"{what} has no spelling for `=` to mean", "leave it out", "="
            )
    return Note(kind, name, contour, connector, ghost, doubtful, meant, pin, marks, twice)


def _before(text: str) -> tuple[int, Connector, bool]:
    if not text:
        return 0, "", False
    up, down = text.count("^"), text.count("v")
    if up and down:
        raise Fault("contour-both-ways", 0, len(text), "a note cannot go both up `^` and down `v`")
    typed = [sign for sign in text if sign in CONNECTORS]
    if len(typed) > 1:
        names = " and ".join(f"`{sign}`" for sign in typed[:2])
        what = f"one connector leads to a note, found {names}"
        if len(set(typed)) == 1:
            raise Fault(
                "two-connectors",
                0,
                len(text),
                what,
                Mend("one is enough", text.replace(typed[0], "", len(typed) - 1)),
            )
        raise Fault(
            "two-connectors",
            0,
            len(text),
            what,
            Mend("each leads to a note of its own, as in `gha` and `apg`"),
        )
    return up - down, CONNECTORS[typed[0]] if typed else "", "q" in text


def _name(core: re.Match[str]) -> tuple[Kind, Letter | Degree | Fret | Literal["dead", "unheard"]]:
    if core["letter"]:
        letter, sign = core["letter"], core["sign"] or ""
        return "LETTER", Letter(letter.upper(), letter.isupper(), "bb" if sign == "w" else sign)
    if core["number"]:
        number = int(core["number"])
        if 1 <= number <= 7:
            return "DEGREE", Degree(number, _ALTER[core["before"]])
        raise Fault("degree-number", *core.span(), *_no_degree(core["before"] or "", number))
    if core["fret"]:
        if len(core["fret"]) > 2:
            raise Fault(
                "fret-number",
                *core.span("fret"),
                f"expected a fret of one or two digits, found `{core['fret']}`",
                Mend("two frets of a word have a `:` each, as in `A:1:2`"),
            )
        return "FRET", Fret(core["string"], int(core["fret"]))
    return "OTHER", "dead" if core[0] == "x" else "unheard"


def _no_degree(sign: str, number: int) -> tuple[str, Mend]:
    message = f"expected a degree from 1 to 7, found `{number}`"
    if number == 0:
        return message, Mend("a silence is `.`, an open string is a fret such as `A:0`", ".")
    return message, Mend("the octave is chosen with `^`", f"^{sign}{number - 7}")


def _after(text: str, at: int) -> tuple[str | None, tuple[Mark, ...], bool, bool, tuple[int, int] | None]:
    if at == len(text):
        return None, (), False, False, None
    pin: str | None = None
    marks: list[Mark] = []
    meant = doubtful = False
    twice: tuple[int, int] | None = None
    for part in _AFTER.finditer(text, at):
        if part["pin"]:
            if pin is not None:
                raise Fault(
                    "two-strings", *part.span(), f"the note is on string `{pin}` already, found `{part[0]}`"
                )
            pin = part["pin"]
        elif part["mark"]:
            mark = MARKS[part["mark"]]
            if mark in marks:
                twice = twice or part.span()
            else:
                marks.append(mark)
        elif part["meant"]:
            twice = twice or (part.span() if meant else None)
            meant = True
        else:
            twice = twice or (part.span() if doubtful else None)
            doubtful = True
    return pin, tuple(marks), meant, doubtful, twice


def _useless(text: str, start: int, end: int, message: str, order: str, signs: str) -> Fault:
    without = "".join(c for c in text[start:end] if c not in signs)
    return Fault("sign-without-use", start, end, message, Mend(order, without))
