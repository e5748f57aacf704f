"""How a writer types notes outside the key: small letters with a sign (`f#`, `bn`) or capitals (`F#`, `B`)."""

from __future__ import annotations

from collections.abc import Iterable

from scribe.music.key import Key
from scribe.music.resolve import TYPED_ALTER
from scribe.music.rewrite.bar import Typed
from scribe.music.rewrite.draft import Source
from scribe.source.tree import Letter
from scribe.source.words import tones


def only_as_capital(typed: Typed, key: Key) -> bool:
    """Whether a letter could not be typed small: a flat that the key does not give."""
    name = typed.tone.name
    if not isinstance(name, Letter):
        return False
    alter = TYPED_ALTER[name.accidental]
    return name.exact and alter < 0 and alter != key.alteration(name.letter)


def writes_small(sources: Iterable[Source]) -> bool:
    """Whether every note outside the key that could be typed either way is a small letter, and there is one."""
    small = False
    for source in sources:
        key = source.draught.in_force.key
        for tone in tones(source.words):
            name = tone.name
            if not isinstance(name, Letter):
                continue
            alter = TYPED_ALTER[name.accidental]
            plain = not (name.exact or name.accidental)
            if plain or alter < 0 or alter == key.alteration(name.letter):
                continue
            if name.exact:
                return False
            small = True
    return small
