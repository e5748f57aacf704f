"""What the notate stage makes of a bar: written values, tuplets, beams."""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

# Undotted values by code: name as in MusicXML, MEI `dur`, length in quarters.
VALUES: dict[str, tuple[str, str, Fraction]] = {
    "B": ("breve", "breve", Fraction(8)),
    "W": ("whole", "1", Fraction(4)),
    "H": ("half", "2", Fraction(2)),
    "Q": ("quarter", "4", Fraction(1)),
    "E": ("eighth", "8", Fraction(1, 2)),
    "S": ("16th", "16", Fraction(1, 4)),
    "T": ("32nd", "32", Fraction(1, 8)),
    "X": ("64th", "64", Fraction(1, 16)),
    "Y": ("128th", "128", Fraction(1, 32)),
}


class Tuplet(NamedTuple):
    """`actual` notes of value `unit` in the time of `normal`, over the stretch start … start + length (sounding).

    Tuplets nest: `parent` is the index (in `WrittenBar.tuplets`) of the one around it, or None.
    """

    start: Fraction
    length: Fraction
    actual: int
    normal: int
    unit: str
    parent: int | None
    bracket: bool  # False where one beam already shows the group


class Written(NamedTuple):
    """One written note or rest.

    `event`: index of the event it belongs to. `onset`, `length`: sounding, in quarters from the bar's start.
    `value`, `dots`: what is printed. `tuplet`: index of the innermost tuplet, or None. `beam`: index of its beam
    group (members stand next to each other), or None. `tied`: a tie leads to the next written note of the same
    event. `measure_rest`: the whole-bar rest, whatever the metre (then `rest` is set too, and `value` is W).
    """

    event: int
    onset: Fraction
    length: Fraction
    value: str
    dots: int
    tuplet: int | None
    beam: int | None
    tied: bool
    measure_rest: bool = False
    rest: bool = False

    @property
    def code(self) -> str:
        """`Q.`, `E`: the value as the tables of this project write it."""
        return self.value + "." * self.dots


class WrittenBar(NamedTuple):
    """All of a bar, in order of onset. Beam groups and tuplets are properly nested: one holds the other or neither."""

    notes: tuple[Written, ...]
    tuplets: tuple[Tuplet, ...]
