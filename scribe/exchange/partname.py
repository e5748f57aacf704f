"""Which part is meant by a name: the whole name, else words out of it that only one name has."""

from __future__ import annotations

from collections.abc import Sequence

from scribe.exchange.model import Cannot

MOST = 12  # parts named in a message


def named(wanted: str, names: Sequence[str], listed: Sequence[str]) -> list[int]:
    """Return the indexes of the parts that are meant: several where parts have one name, as two staves of a piano.

    `wanted`: a name, or words of one (`bass` for `Bass Guitar`), whatever its case. `listed`: the
    parts as a message names them.

    Raises:
        Cannot: there is none, or the words stand in several names.
    """
    asked = _plain(wanted)
    plain = [_plain(name) for name in names]
    found = [index for index, name in enumerate(plain) if name and name == asked]
    if not found and asked:
        found = [index for index, name in enumerate(plain) if f" {asked} " in f" {name} "]
        if len({plain[index] for index in found}) > 1:
            raise Cannot(f"`{wanted}` stands in several names: {several([listed[index] for index in found])}")
    if not found:
        raise Cannot(f"no part `{wanted}`; there are {several(listed)}")
    return found


def several(listed: Sequence[str]) -> str:
    """Return a list for a message, cut off where it gets long."""
    shown = ", ".join(dict.fromkeys(listed[:MOST]))
    return shown + (f" and {len(listed) - MOST} more" if len(listed) > MOST else "") if listed else "none"


def _plain(name: str) -> str:
    """Small letters, plain accidentals, one blank between words, no brackets."""
    signs = str.maketrans({"♭": "b", "♯": "#", "(": " ", ")": " ", "-": " ", "_": " ", ",": " ", ".": " "})
    return " ".join(name.casefold().translate(signs).split())
