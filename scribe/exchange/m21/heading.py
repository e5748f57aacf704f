"""What stands at the head of a score: title, composer, player."""

from __future__ import annotations

from typing import NamedTuple

from music21 import metadata, stream

from scribe.exchange.credits import is_title
from scribe.exchange.extras import Extras

PLAYERS = ("performer", "player")


class Heading(NamedTuple):
    """Empty where nothing is said."""

    title: str
    composer: str
    player: str


def heading(score: stream.Score, extras: Extras) -> Heading:
    """Return what the file says, and what `extras` found where it says nothing there."""
    meta = score.metadata
    composer = (meta.composer or "") if meta is not None else ""
    composer = "" if composer == "Music21" else composer
    players = [c for c in meta.contributors if c.role in PLAYERS] if meta is not None else []
    player = str(players[0].name or "") if players else ""
    return Heading(extras.title or _title(meta), extras.composer or composer, extras.player or player)


def _title(meta: metadata.Metadata | None) -> str:
    """The title of the work, and of the movement where that is another one."""
    found: list[str] = []
    for text in (meta.title or "", meta.movementName or "") if meta is not None else ():
        if is_title(text) and not any(text.casefold() in other.casefold() for other in found):
            found = [*(other for other in found if other.casefold() not in text.casefold()), text]
    return ", ".join(found)
