"""The fixed table of words that may stand behind `'` at a word's start, and of the marks behind a note.

Dynamics and signs of the form are the usual ones of printed music; the playing directions are trade terms of bass
parts (common practice, no source).
"""

from __future__ import annotations

from typing import Literal, NamedTuple

from scribe.source.tree import Mark

Kind = Literal["dynamic", "hairpin", "level", "playing", "form"]


class DirectionInfo(NamedTuple):
    """`words`: what the page prints; for dynamics and for segno and coda the name of the sign to draw. A `level` prints
    nothing: it only ends a hairpin.

    `lasts`: it holds until `'open` or another way of playing takes over.
    """

    kind: Kind
    words: str
    lasts: bool = False


DIRECTIONS: dict[str, DirectionInfo] = {
    "ppp": DirectionInfo("dynamic", "ppp"),
    "pp": DirectionInfo("dynamic", "pp"),
    "p": DirectionInfo("dynamic", "p"),
    "mp": DirectionInfo("dynamic", "mp"),
    "mf": DirectionInfo("dynamic", "mf"),
    "f": DirectionInfo("dynamic", "f"),
    "ff": DirectionInfo("dynamic", "ff"),
    "fff": DirectionInfo("dynamic", "fff"),
    "fp": DirectionInfo("dynamic", "fp"),
    "sf": DirectionInfo("dynamic", "sf"),
    "sfz": DirectionInfo("dynamic", "sfz"),
    "fz": DirectionInfo("dynamic", "fz"),
    "rf": DirectionInfo("dynamic", "rf"),
    "rfz": DirectionInfo("dynamic", "rfz"),
    "cresc": DirectionInfo("hairpin", "cresc."),
    "dim": DirectionInfo("hairpin", "dim."),
    "steady": DirectionInfo("level", ""),
    "fingers": DirectionInfo("playing", "fingers", lasts=True),
    "pick": DirectionInfo("playing", "pick", lasts=True),
    "slap": DirectionInfo("playing", "slap", lasts=True),
    "thumb": DirectionInfo("playing", "thumb", lasts=True),
    "tap": DirectionInfo("playing", "tap", lasts=True),
    "palm": DirectionInfo("playing", "P.M.", lasts=True),
    "ring": DirectionInfo("playing", "let ring", lasts=True),
    "arco": DirectionInfo("playing", "arco", lasts=True),
    "pizz": DirectionInfo("playing", "pizz.", lasts=True),
    "open": DirectionInfo("playing", "ord."),
    "sim": DirectionInfo("playing", "sim."),
    "solo": DirectionInfo("playing", "solo"),
    "fill": DirectionInfo("playing", "fill"),
    "laidback": DirectionInfo("playing", "laid back"),
    "segno": DirectionInfo("form", "segno"),
    "coda": DirectionInfo("form", "coda"),
    "tocoda": DirectionInfo("form", "To Coda"),
    "ds": DirectionInfo("form", "D.S."),
    "dc": DirectionInfo("form", "D.C."),
    "fine": DirectionInfo("form", "Fine"),
}

# The kinds that a hairpin reaches to.
LEVELS = frozenset(("dynamic", "hairpin", "level"))
# Dynamics of one note: the loudness in force stays (common practice, no source).
ACCENTS = frozenset(("sf", "sfz", "fz", "rf", "rfz"))
# Rarer dynamics that differ from one of the table in degree alone (common practice, no source).
_NEAR = {
    "sffz": "sfz", "sfffz": "sfz", "ffz": "sfz", "fffz": "sfz",
    "sfp": "fp", "sfpp": "fp", "sfzp": "fp", "sfzpp": "fp", "sffzp": "fp", "fzp": "fp", "fpp": "fp", "ffp": "fp",
}  # fmt: skip


def near_dynamic(name: str) -> str | None:
    """Return the dynamic of the table that comes nearest to a rarer one: `pppp` is `ppp`, `sffz` is `sfz`."""
    if len(name) > 3 and name in (len(name) * "p", len(name) * "f"):
        return name[:3]
    return _NEAR.get(name)


# Marks behind a pitch, as typed.
MARKS: dict[str, Mark] = {
    ">": "accent",
    "*": "staccato",
    "_": "tenuto",
    "\\": "fall",
    "'t": "thumb",
    "'p": "popped",
    "'o": "harmonic",
    "'v": "vibrato",
    "'b": "bent",
    "'h": "held",
}
