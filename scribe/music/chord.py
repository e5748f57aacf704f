"""Chord symbols."""

from __future__ import annotations

from typing import Literal, NamedTuple

Name = tuple[str, int]  # letter and alteration


class ChordDegree(NamedTuple):
    """One `<degree>` of MusicXML: a tone added to, altered in or taken from what `kind` says."""

    number: int  # 2-13
    alter: int
    action: Literal["add", "alter", "subtract"]


class ChordTone(NamedTuple):
    """`label` is the degree against the major scale of the root (`1`, `b3`, `#11`), `name` its spelling."""

    label: str
    name: Name


class Chord(NamedTuple):
    """A chord symbol understood. `root` is None for N.C. only."""

    text: str  # as typed, without `?`
    root: Name | None
    kind: str  # a MusicXML 4.0 kind-value
    degrees: tuple[ChordDegree, ...]
    bass: Name | None
    tones: tuple[ChordTone, ...]  # root first, spelled; the slash bass is not among them unless it is a chord tone
