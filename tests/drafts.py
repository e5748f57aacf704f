"""Shorthands for tests that speak the user's language: drafts in, notes out."""

from __future__ import annotations

from scribe import compile
from scribe.music.sounding import Sounding


def notes(text: str) -> tuple[Sounding, ...]:
    """The note list of a draft that must have no error."""
    compiled = compile(text)
    errors = [d.message for d in compiled.diagnostics if d.severity == "error"]
    assert not errors, errors
    return compiled.notes


def pitches(text: str) -> str:
    """The sounding pitches of a draft, dead and unheard notes as `x` and `u`: `G1 Bb1 x`."""
    return " ".join(str(n.pitch) if n.pitch else n.marks[-1][0].replace("d", "x") for n in notes(text))


def rhythm(text: str) -> str:
    """Onsets and lengths of a draft, bar by bar: `0:1 1:1 | 0:4`."""
    bars: dict[int, list[str]] = {}
    for note in notes(text):
        bars.setdefault(note.bar, []).append(f"{note.onset}:{note.length}")
    return " | ".join(" ".join(row) for row in bars.values())


def codes(text: str) -> list[str]:
    """The codes of everything scribe has to say about a draft."""
    return [d.code for d in compile(text).diagnostics]
