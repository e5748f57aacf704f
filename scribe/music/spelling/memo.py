"""What phrases were told before: an edit of one bar costs one phrase."""

from __future__ import annotations

from functools import lru_cache

from scribe.music.spelling.check import Doubt, check_names
from scribe.music.spelling.note import Note
from scribe.music.spelling.speller import solve


@lru_cache(maxsize=512)
def solved(notes: tuple[Note, ...]) -> tuple[int, ...]:
    """`solve`, remembered."""
    return solve(notes)


@lru_cache(maxsize=512)
def checked(notes: tuple[Note, ...], typed: tuple[int, ...]) -> tuple[Doubt, ...]:
    """`check_names`, remembered."""
    return check_names(notes, typed)
