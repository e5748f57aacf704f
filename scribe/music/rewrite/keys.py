"""The names of a draft's keys after a move: near ones, related as before, and such that the way back finds the old."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from scribe.music.interval import Interval
from scribe.music.key import Key, parse_key
from scribe.music.pitch import ACCIDENTAL, name_at

SIGNS = 6  # of a key that is not asked for by name: beyond, its enharmonic is read more easily
_ROUND = 12  # from a name to its enharmonic on the line of fifths


class Named(NamedTuple):
    """A key's new name, and what a comment is to keep of the old one; empty: nothing any more, None: as it is."""

    key: Key
    kept: str | None = None


def named_keys(
    keys: Sequence[Key], origins: Sequence[str], interval: Interval, signs: int = SIGNS
) -> list[Named]:
    """Return the keys an interval away. `origins`: the names of tonics that comments keep, empty where none does.

    A key of more than `signs` signs (6 or 7) gives way to its enharmonic; all of a draft together where that suits all,
    else each for itself. Where the way back would not lead to the name that a key has, the name is kept; a key that
    comes back to the sound of a name that was kept has that name again.
    """
    new = _moved(keys, interval, signs)
    wished = [_origin(origin, key) or key for origin, key in zip(origins, new, strict=True)]
    back = _moved(wished, -interval, SIGNS)
    found: list[Named] = []
    for old, key, wish, there, origin in zip(keys, new, wished, back, origins, strict=True):
        home_again = wish == key and _lost_easily(key) and _origin(origin, key) == key
        if home_again or (wish != key and there == old):
            found.append(Named(wish, ""))
        else:
            found.append(Named(key))
    back = _moved([named.key for named in found], -interval, SIGNS)
    for index, (old, there, origin) in enumerate(zip(keys, back, origins, strict=True)):
        if there != old and not origin:
            found[index] = found[index]._replace(kept=f"from {old.letter}{ACCIDENTAL[old.alter]}")
    return found


def _lost_easily(key: Key) -> bool:
    """Whether a key's name is one of those that a comment has to keep: it has an enharmonic that is as near."""
    return abs(key.fifths) >= _ROUND // 2


def _origin(origin: str, key: Key) -> Key | None:
    """The name that was kept, in the key's mode, if it is one of the same sound."""
    named = parse_key(f"{origin} {key.mode}") if origin else None
    return named if named and (named.tonic_fifths - key.tonic_fifths) % _ROUND == 0 else None


def _moved(keys: Sequence[Key], interval: Interval, signs: int) -> list[Key]:
    """All keys an interval away, turned round the line of fifths together if that leads to keys that can be read."""
    if not interval.fifths:
        return list(keys)
    for turns in (0, -1, 1):
        moved = [_at(key, interval.fifths + _ROUND * turns) for key in keys]
        if all(abs(key.fifths) <= signs for key in moved):
            return moved
    return [_near(_at(key, interval.fifths), signs) for key in keys]


def _near(key: Key, signs: int) -> Key:
    while abs(key.fifths) > signs:
        key = _at(key, -_ROUND if key.fifths > 0 else _ROUND)
    return key


def _at(key: Key, fifths: int) -> Key:
    letter, alter = name_at(key.tonic_fifths + fifths)
    return Key(letter, alter, key.mode)
