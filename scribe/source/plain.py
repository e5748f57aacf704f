"""Typographic signs read as the plain ones that the grammar knows, with every place kept.

Most signs have a plain one of the same length, so a draft can be translated as a whole and all offsets stay
right (`plain_line`). Letters that a dead key made (`â` for `^a`) stand for two plain ones; they are undone inside
bars only, together with a table of places (`plain_bar`). So are flat signs: behind a small letter a `b` would be a note
of its own, which the sign `♭` cannot be, so the exact name with its capital is meant (`e♭` is `Eb`).
"""

from __future__ import annotations

import re
from functools import lru_cache

BLANKS = " \t\u00a0\u1680\u2000\u2001\u2002\u2003\u2004\u2005\u2006\u2007\u2008\u2009\u200a\u202f\u205f\u3000"

_SAME = {
    "♯": "#",
    "♭": "b",
    "♮": "n",
    "𝄫": "w",
    "‘’‛ʼʹ′´": "'",
    "“”„‟″«»": '"',
    "‐‑‒–—―−": "-",
    "ˆ": "^",
    "˜∼": "~",
    "⁄∕": "/",
    "‚": ",",
    "¦│┃❘∣": "|",
    "×": "x",
    BLANKS[2:]: " ",
}
_TABLE = {ord(sign): plain for signs, plain in _SAME.items() for sign in signs}
_TABLE |= {0xFF01 + i: chr(0x21 + i) for i in range(94)}  # full-width forms of an East Asian keyboard

# Signs that stand for two or three plain ones: dead keys (circumflex, tilde, acute), and what editors join.
_LONGER = {
    **{composed: "^" + letter for composed, letter in zip("âÂĉĈêÊĝĜĥû", "aAcCeEgGhu", strict=True)},
    **{composed: "~" + letter for composed, letter in zip("ãÃẽẼṽũ", "aAeEvu", strict=True)},
    **{composed: "'" + letter for composed, letter in zip("óÓçćṕ", "oOccp", strict=True)},
    "…": "...",
    "𝄪": "##",
}
_IN_BARS = {code: plain for code, plain in _TABLE.items() if chr(code) not in "♭𝄫"}
_COMBINING = {"\u0302": "^", "\u0303": "~", "\u0301": "'"}

# Never part of a draft: control signs, halves of surrogate pairs, non-characters. (Tabs are blanks.)
FORBIDDEN = re.compile("[\x00-\x08\x0a-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff\u2028\u2029]")


@lru_cache(maxsize=1)
def _undo() -> re.Pattern[str]:
    """What stands between double quotes, and what stands for two or three plain signs; most drafts never ask."""
    return re.compile(
        r'"[^"]*"|(?P<flat>[A-Ga-g])♭♭|['
        + "".join(_LONGER)
        + "]|(?P<letter>[A-Za-z])(?P<mark>["
        + "".join(_COMBINING)
        + "])"
    )


@lru_cache(maxsize=1)
def _flats() -> re.Pattern[str]:
    """A flat sign with what it belongs to; texts and chords as a whole, so that nothing is looked for inside them."""
    return re.compile(
        r'"[^"]*"|(?P<chord>@[^\s|;"{}]*)|(?P<degree>♭{1,2}(?=\d)|(?<=\d)♭{1,2})|(?P<string>[a-g])♭(?=:\d)'
        r"|(?P<double>[A-Ga-g](?:♭♭|𝄫))|(?P<letter>[A-Ga-gâĉêĝãẽÂĈÊĜÃẼ][\u0301-\u0303]?)♭"
    )


def _flat(found: re.Match[str]) -> str:
    """The same length in plain signs; a double flat of two signs becomes one later on, and so do texts stay."""
    kind, typed = found.lastgroup, found[0]
    if kind == "double":
        return typed.replace(typed[0] + "𝄫", typed[0].upper() + "w")
    if kind == "letter":
        return typed[0].upper() + typed[1:-1] + "b"
    return typed.replace("♭", "b") if kind else typed


def plain_line(text: str) -> str:
    """Return `text` with typographic signs made plain, sign for sign: the length never changes."""
    return text if text.isascii() else text.translate(_TABLE)


def plain_bar(text: str) -> tuple[str, tuple[int, ...] | None]:
    """Return a bar's text in plain signs, and for each of them its place in `text`.

    The table is None where both texts have the same length, so that every place is itself. What stands between
    double quotes keeps its letters.
    """
    if text.isascii():
        return text, None
    same = text.translate(_IN_BARS)
    if "♭" in same or "𝄫" in same:
        same = _flats().sub(_flat, same).replace("𝄫", "w")
    if not _undo().search(same):
        return same, None
    parts: list[str] = []
    places: list[int] = []
    at = 0
    for found in _undo().finditer(same):
        start, end = found.span()
        parts.append(same[at:start])
        places.extend(range(at, start))
        sign = found[0]
        if sign[0] == '"':
            parts.append(sign)
            places.extend(range(start, end))
        elif found["flat"]:  # its second sign ends where that of the text does
            parts.append(found["flat"].upper() + "w")
            places.extend((start, end - 1))
        elif found["mark"]:  # the letter comes first in the text, its mark first in the shorthand
            parts.append(_COMBINING[found["mark"]] + found["letter"])
            places.extend((start, start + 1))
        else:
            parts.append(_LONGER[sign])
            places.extend([start] * len(_LONGER[sign]))
        at = end
    parts.append(same[at:])
    places.extend(range(at, len(same) + 1))
    plain = "".join(parts)
    return plain, (
        None if len(plain) == len(same) and places == list(range(len(same) + 1)) else tuple(places)
    )
