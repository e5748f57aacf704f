"""What taking a file in gives, whatever the format."""

from __future__ import annotations

from typing import NamedTuple

from scribe.exchange.model import Line


class Taken(NamedTuple):
    """A line, where it came from, what else there was. `confidence`: 1 for notation, less for what was guessed.

    `draft`: the text of the draft that the file was made from, where the file carries it; `changed`: how many of its
    bars say something else by now and are written anew in it.
    """

    line: Line
    kind: str
    source: str
    others: int
    confidence: float = 1.0
    draft: str = ""
    changed: int = 0
