"""Tablature under the staff: strings, frets, dead notes, ghosts, ties, slurs and slides, placed at the notes' x.

It shows where to put the fingers; the rhythm is on the staff above. Notes without a string leave their place empty.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from scribe.engrave import ink as draw
from scribe.engrave.canvas import Canvas, arc, stroke
from scribe.engrave.ink import DOUBT, GREY, Drawn, Ink
from scribe.engrave.ink.shapes import disc, rectangle
from scribe.engrave.mei.bar import BarMei
from scribe.engrave.mei.lines import Letter, Line
from scribe.engrave.mei.notes import TabNote
from scribe.engrave.options import SPACE
from scribe.engrave.skyline import Skyline
from scribe.music.piece import Bar

_STRINGS = 1.75 * SPACE  # between two strings
_LINE = 13.0
_LINE_COLOR = "#555"
_SIZE = 375.0  # em of a fret number
_FACES = (1.0, 0.88, 0.78, 0.7)  # sizes tried until no two numbers touch
_AIR = 45.0  # left and right of a number, where its string is interrupted


_CURVES = ("slur", "tie")


class Fret(NamedTuple):
    """A number in its place: `y` is its string's line."""

    note: TabNote
    ink: Ink
    x: float
    y: float

    @property
    def left(self) -> float:
        return self.x + (self.ink.box.left if self.ink.box else 0.0)

    @property
    def right(self) -> float:
        return self.x + (self.ink.box.right if self.ink.box else 0.0)

    @property
    def middle(self) -> float:
        return (self.left + self.right) / 2


def shows_tab(bars: Sequence[Bar]) -> bool:
    """Whether a system of these bars has tablature."""
    return any("tab" in bar.shown.what for bar in bars)


def place_tab(
    canvas: Canvas,
    bars: Sequence[Bar],
    meis: Sequence[BarMei],
    lines: Sequence[Line],
    letters: Sequence[Letter],
) -> float:
    """Draw the tablature below all other ink and return the y of its lowest string."""
    count = max(len(bar.in_force.tuning) for bar in bars if "tab" in bar.shown.what)
    right = canvas.right
    top = max(canvas.bottom + 4.0 * SPACE, canvas.sky.lowest(0.0, right) + 1.6 * SPACE)
    known = tab_ids(bars, meis)
    if any(line.kind in _CURVES and (line.start in known or line.end in known) for line in lines):
        top += 1.2 * SPACE  # room for the curves over the highest string
    if any(letter.start in known and letter.end in known for letter in letters):
        top += 0.4 * SPACE  # and for the letters over the curves
    frets = _frets(canvas, bars, meis, count, top)
    bottom = top + (count - 1) * _STRINGS
    _draw_strings(canvas, list(frets.values()), count, top, right)
    _draw_barlines(canvas, count, top, bottom)
    _draw_sign(canvas, top, bottom)
    for fret in frets.values():
        canvas.put(fret.ink, fret.x, fret.y, "fret")
    ground = Skyline(right)  # the outline of the numbers alone: curves and letters stand on it
    for fret in frets.values():
        ground.add_box(fret.ink.box and fret.ink.box.shift(fret.x, fret.y))
    _draw_lines(canvas, frets, lines, ground)
    _draw_letters(canvas, frets, letters, ground)
    return bottom


def tab_ids(bars: Sequence[Bar], meis: Sequence[BarMei]) -> frozenset[str]:
    """Return the ids of the notes that the tablature of these bars shows."""
    return frozenset(
        note.id
        for bar, mei in zip(bars, meis, strict=True)
        if "tab" in bar.shown.what
        for note in mei.notes.tab
        if 1 <= note.string <= len(bar.in_force.tuning)
    )


# --- numbers ----------------------------------------------------------------------------------------------------


def _frets(
    canvas: Canvas, bars: Sequence[Bar], meis: Sequence[BarMei], count: int, top: float
) -> dict[str, Fret]:
    """The numbers by the ids of their notes, as large as they fit beside each other."""
    found: dict[str, Fret] = {}
    for by in _FACES:
        found = {}
        for bar, mei in zip(bars, meis, strict=True):
            if "tab" not in bar.shown.what:
                continue
            for note in mei.notes.tab:
                head = canvas.head(note.id)
                if head is None or not 1 <= note.string <= count:
                    continue
                ink = fret_ink(note).scale(by)
                x = head.middle - (ink.box.left + ink.box.right) / 2 if ink.box else head.middle
                found[note.id] = Fret(note, ink, x, top + (note.string - 1) * _STRINGS)
        if not _touching(list(found.values())):
            break
    return found


def _touching(frets: Sequence[Fret]) -> bool:
    rows: dict[float, list[Fret]] = {}
    for fret in frets:
        rows.setdefault(fret.y, []).append(fret)
    for row in rows.values():
        row.sort(key=lambda fret: fret.x)
        if any(b.left - a.right < 0.3 * _AIR for a, b in pairwise(row)):
            return True
    return False


def fret_ink(note: TabNote) -> Ink:
    """Return what stands on a string for a note: number, cross, number in parentheses."""
    size = _SIZE * (0.75 if note.grace else 1.0)
    if note.kind == "dead":
        arm = 0.24 * size
        cross = draw.ink(
            (stroke(-arm, -arm, arm, arm, 32.0), stroke(-arm, arm, arm, -arm, 32.0)), text="x", size=size
        )
        if not note.ghost:
            return cross
        left, right = draw.fret("(", size=size), draw.fret(")", size=size)
        return draw.lay(cross, left.shift(-arm - left.advance), right.shift(arm), text="(x)", size=size)
    string = "?" if note.kind == "unheard" else str(note.fret)
    if note.ghost or note.tied:
        string = f"({string})"
    found = draw.fret(string, size=size)
    if note.doubtful or note.kind == "unheard":
        return found.tinted(DOUBT)
    return found.tinted("#777") if note.tied else found


# --- the staff --------------------------------------------------------------------------------------------------


def _draw_strings(canvas: Canvas, frets: Sequence[Fret], count: int, top: float, right: float) -> None:
    """Thin lines, interrupted at the numbers so that these stay clear without a white ground."""
    gaps: dict[float, list[tuple[float, float]]] = {}
    for fret in frets:
        gaps.setdefault(fret.y, []).append((fret.left - _AIR, fret.right + _AIR))
    marks: list[Drawn] = []
    for string in range(count):
        y = top + string * _STRINGS
        at = 0.0
        for left, end in sorted(gaps.get(y, ())):
            if left > at:
                marks.append(stroke(at, y, left, y, _LINE, _LINE_COLOR))
            at = max(at, end)
        if at < right:
            marks.append(stroke(at, y, right, y, _LINE, _LINE_COLOR))
    canvas.draw(marks, "strings")


def _draw_barlines(canvas: Canvas, count: int, top: float, bottom: float) -> None:
    """The staff's barlines drawn on through the tablature, repeat dots between its strings."""
    marks = [rectangle(0.0, canvas.top, 28.0, bottom)]
    middle = (top + bottom) / 2
    gap = _STRINGS if count % 2 == 0 else 0.5 * _STRINGS  # the dots stand between strings
    for place in canvas.engraved.bars:
        for box in place.strokes:
            if box.height > SPACE:
                marks.append(rectangle(box.left, canvas.bottom, box.right, bottom))
            elif box.top < (canvas.top + canvas.bottom) / 2:  # the upper of two dots: draw both
                x = (box.left + box.right) / 2
                marks.extend((disc(x, middle - gap, 40.0), disc(x, middle + gap, 40.0)))
    canvas.draw(marks, "barlines")


def _draw_sign(canvas: Canvas, top: float, bottom: float) -> None:
    """T, A and B under each other where the clef would stand."""
    middle = (top + bottom) / 2
    step = 1.6 * SPACE
    for place, letter in enumerate("TAB"):
        what = draw.text(letter, "sans-bold", 2.05 * SPACE).tinted(GREY)
        y = middle + (place - 1) * step + 0.33 * 2.05 * SPACE
        canvas.put(what.named(""), 0.62 * SPACE + 0.5 * SPACE - what.advance / 2, y, "tab-sign")


# --- curves, slides, letters ------------------------------------------------------------------------------------


def _draw_lines(canvas: Canvas, frets: dict[str, Fret], lines: Sequence[Line], ground: Skyline) -> None:
    for line in lines:
        start, end = frets.get(line.start), frets.get(line.end)
        leaves, arrives = not canvas.has(line.end_bar), not canvas.has(line.start_bar)
        if line.kind in _CURVES and start and end:
            _curve(canvas, start.middle, end.middle, ground)
        elif line.kind in _CURVES and start and leaves:
            _curve(canvas, start.middle, canvas.right, ground)
        elif line.kind in _CURVES and end and arrives:
            left = max(canvas.engraved.signs_right, canvas.engraved.bars[0].content_left)
            _curve(canvas, min(left, end.middle - SPACE), end.middle, ground)
        elif line.kind in ("slide up", "slide down") and end:
            _slide(canvas, start, end, down=line.kind == "slide down")
        elif line.kind in ("slide up", "slide down") and start and leaves:
            rise = 0.36 * _STRINGS * (-1 if line.kind == "slide down" else 1)
            x = start.right + 0.5 * _AIR
            end_x = min(x + 1.3 * SPACE, canvas.right)
            canvas.draw([stroke(x, start.y + rise, end_x, start.y - rise, 24.0)], "slide")


def _curve(canvas: Canvas, x0: float, x1: float, ground: Skyline) -> None:
    """A curve over the numbers from x to x; the half of one where it leads over a system's end."""
    y = ground.highest(x0 - 0.5 * SPACE, x1 + 0.5 * SPACE) - 0.2 * SPACE
    rise = min(0.7 * SPACE, 0.3 * SPACE + (x1 - x0) / 14)
    canvas.draw([arc(x0, y, x1, y, -rise, 30.0)], "slur")
    ground.add(x0, y - rise, x1, y)


def _slide(canvas: Canvas, start: Fret | None, end: Fret, *, down: bool) -> None:
    slant = 0.36 * _STRINGS
    x1 = end.left - 0.5 * _AIR
    x0 = start.right + 0.5 * _AIR if start else x1 - 1.3 * SPACE
    if start and start.y != end.y:
        y0, y1 = start.y, end.y
    elif start and start.note.fret != end.note.fret:
        rise = slant if end.note.fret > start.note.fret else -slant
        y0, y1 = end.y + rise, end.y - rise
    else:
        rise = -slant if down else slant
        y0, y1 = end.y + rise, end.y - rise
    canvas.draw([stroke(x0, y0, max(x1, x0 + 40.0), y1, 24.0)], "slide")


def _draw_letters(canvas: Canvas, frets: dict[str, Fret], letters: Sequence[Letter], ground: Skyline) -> None:
    for letter in letters:
        start, end = frets.get(letter.start), frets.get(letter.end)
        if start is None or end is None:
            continue
        what = draw.letters(letter.letter)
        x = (start.middle + end.middle - what.advance) / 2
        y = ground.highest(x, x + what.advance) - 0.22 * SPACE
        canvas.put(what, x, y, "letters")
