"""scribe: a terse shorthand for bass lines, compiled to music21 and engraved beside the text.

>>> from scribe import compile, engrave
>>> compiled = compile("key G minor\\n| g b d g |")
>>> [str(note.pitch) for note in compiled.notes]
['G1', 'Bb1', 'D2', 'G2']
"""

from __future__ import annotations

from typing import TYPE_CHECKING

# The package of the same name first: imported later it would take the place of the function below.
import scribe.engrave as _engrave_package  # noqa: F401

if TYPE_CHECKING:
    from scribe.engrave import Pages
    from scribe.pipeline import Compiled

__all__ = ["compile", "engrave"]
__version__ = "0.1.0"


def compile(text: str) -> Compiled:
    """Compile a draft: read it, place its words, find its pitches, write its rhythm.

    Returns the notes, the diagnostics and, when asked for, the music21 score. Never raises on a `str`: what is wrong
    with the draft stands in `diagnostics`.
    """
    from scribe import pipeline

    return pipeline.compile(text)


def engrave(
    compiled: Compiled,
    *,
    bars: tuple[int, int] | None = None,
    system: int | None = None,
    transparent: bool = False,
) -> Pages:
    """Engrave a compiled draft: one self-contained SVG a page, and the MEI behind it.

    `bars`: only these printed bar numbers; `system`: only that system (from 1), cropped. Raises ValueError, in the
    words of a user, if there are no such bars or no such system.
    """
    from scribe import pipeline

    return pipeline.engrave(compiled, bars=bars, system=system, transparent=transparent)
