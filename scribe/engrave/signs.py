"""What we draw at the notes themselves: slides, falls, ties and slurs over a system's end, letters, shakes."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

from scribe.engrave.canvas import Canvas, arc, stroke
from scribe.engrave.ink import Box, Drawn, Ink, Use, ink, letters
from scribe.engrave.ink.faces import music
from scribe.engrave.measure import Head
from scribe.engrave.mei.bar import BarMei
from scribe.engrave.mei.lines import Letter, Line
from scribe.engrave.mei.notes import Sign, TupletSign
from scribe.engrave.options import SPACE

_GAP = 0.2 * SPACE  # between a head and a line that leads to it
_SLANT = 0.5 * SPACE  # the least rise of a slide, so that it is not taken for a line of the staff
_LONG = 1.5 * SPACE  # a slide from nowhere, a fall
_AIR = 0.28 * SPACE  # between a letter and what it stands over


def place_lines(canvas: Canvas, lines: Sequence[Line]) -> None:
    """Draw the slides, and the halves of ties and slurs that cross the system's ends."""
    for line in lines:
        start = canvas.head(line.start) if canvas.has(line.start_bar) and line.start else None
        end = canvas.head(line.end) if canvas.has(line.end_bar) else None
        if start is None and end is None:
            continue
        if line.kind in ("tie", "slur"):
            if start is None or end is None:
                _half_curve(canvas, line, start, end)
        else:
            _slide(canvas, line, start, end)


def _half_curve(canvas: Canvas, line: Line, start: Head | None, end: Head | None) -> None:
    head = start or end
    assert head is not None
    if line.kind == "tie":
        middle = (canvas.top + canvas.bottom) / 2
        below = head.stem_up if head.stem is not None else head.y >= middle
    else:
        below = head.stem_up
    side = 1.0 if below else -1.0
    if start is not None:
        x0, x1 = (start.right + _GAP, canvas.right) if line.kind == "tie" else (start.middle, canvas.right)
    else:
        left = max(canvas.engraved.signs_right, canvas.engraved.bars[0].content_left)
        x0 = min(left + _GAP, head.box.left - SPACE)
        if not line.start:  # into a later ending, from the bar before the first one
            x0 = head.box.left - 1.25 * SPACE
        x1 = head.left - _GAP if line.kind == "tie" else head.middle
    if line.kind == "tie":
        y = head.y + side * 0.25 * SPACE
    elif below:
        y = max(
            head.y + 0.75 * SPACE, canvas.sky.lowest(x0, x1) + 0.2 * SPACE if x1 - x0 > 8 * SPACE else -1e9
        )
    else:
        y = head.y - 0.75 * SPACE
    rise = side * min(0.9 * SPACE, max(0.35 * SPACE, (x1 - x0) / 9))
    canvas.draw([arc(x0, y, x1, y, rise)], line.kind)


def _slide(canvas: Canvas, line: Line, start: Head | None, end: Head | None) -> None:
    down = line.kind == "slide down"
    if start is not None and end is not None:
        x0, x1 = start.edges[1] + _GAP, _before(end) - _GAP
        if x1 - x0 < 0.8 * SPACE:  # too near: the line may touch the air beside both heads
            middle = (x0 + x1) / 2
            x0, x1 = middle - 0.4 * SPACE, middle + 0.4 * SPACE
        y0, y1 = start.y, end.y
        rise = y1 - y0
        if abs(rise) < _SLANT:
            least = _SLANT if (rise > 0 if rise else down) else -_SLANT
            y0, y1 = (y0 + y1 - least) / 2, (y0 + y1 + least) / 2
        else:  # leave both heads at the height of their edges
            share = min(0.25, 40.0 / abs(rise))
            y0, y1 = y0 + rise * share / 2, y1 - rise * share / 2
    elif end is not None:
        x1, y1 = _before(end) - _GAP, end.y
        x0, y0 = x1 - _LONG, y1 - SPACE if down else y1 + SPACE
        if canvas.bar(line.end_bar) is canvas.engraved.bars[0]:  # not into the signs at the system's start
            x0 = min(max(x0, canvas.engraved.bars[0].content_left + 0.15 * SPACE), x1 - 0.6 * SPACE)
    else:
        assert start is not None
        x0, y0 = start.edges[1] + _GAP, start.y
        x1, y1 = min(x0 + 2 * _LONG, canvas.right), y0 + SPACE if down else y0 - SPACE
    canvas.draw([stroke(x0, y0, x1, y1, 26.0)], "slide")


def _before(head: Head) -> float:
    """The left edge of a head with its accidental."""
    return min(head.left, head.box.left)


def place_signs(canvas: Canvas, bar: int, mei: BarMei) -> None:
    """Draw the marks of one bar's notes: slashes, falls, bends, shakes, T and P."""
    ids = [id for _, id in mei.notes.at]
    for sign in mei.notes.signs:
        head = canvas.head(sign.id)
        if head is None:
            continue
        if sign.kind == "grace":
            _slash(canvas, head)
        elif sign.kind == "fall":
            _fall(canvas, head)
        elif sign.kind == "bent":
            _bend(canvas, head)
        elif sign.kind == "vibrato":
            _shake(canvas, head, _end_of(canvas, bar, sign, ids))
        elif sign.kind in ("thumb", "popped"):
            _letter(canvas, "T" if sign.kind == "thumb" else "P", head)


def _slash(canvas: Canvas, head: Head) -> None:
    if head.stem is None:
        return
    x, tip = head.stem
    y = tip + (head.y - tip) * 0.42
    canvas.draw(
        [stroke(x - 0.5 * SPACE, y + 0.32 * SPACE, x + 0.62 * SPACE, y - 0.42 * SPACE, 18.0)], "slash"
    )


def _fall(canvas: Canvas, head: Head) -> None:
    y = head.y
    slides = [each.box for each in canvas.placed if each.kind == "slide" and each.box is not None]
    taken = canvas.engraved.boxes + canvas.engraved.beams + slides
    for x, long in _ways_to_fall(head):
        room = Box(x, y - 13.0, x + long + 20.0, y + long + 20.0)
        if not any(box.meets(room) for box in taken):
            break
    path = (("M", x, y), ("C", x + 0.5 * long, y, x + 0.85 * long, y + 0.4 * long, x + long, y + long))
    canvas.draw([Drawn(path, 26.0)], "fall")


def _ways_to_fall(head: Head) -> list[tuple[float, float]]:
    """Where a fall may begin and how long it may be, the best first: long ones, else past ledger lines, dots, flag, at
    last past a head at its side in a stack.
    """
    right = head.edges[1]
    starts = dict.fromkeys((right + _GAP, right + 0.5 * SPACE, head.box.right + _GAP, right + 1.3 * SPACE))
    return [(x, share * _LONG) for share in (1.0, 0.8, 0.6, 0.45, 0.35, 0.27, 0.2) for x in starts]


def _bend(canvas: Canvas, head: Head) -> None:
    """An arrow bent upwards, over the note: beside it there may be no room."""
    wide, high = 0.75 * SPACE, 0.95 * SPACE
    x = head.middle - wide / 2
    y = min(canvas.sky.highest(x - 48, x + wide + 48) - _AIR, canvas.top - _AIR)
    tip_x, tip_y = x + wide, y - high
    curve = Drawn((("M", x, y), ("C", x + 0.7 * wide, y, tip_x, y - 0.3 * high, tip_x, tip_y + 70)), 24.0)
    point = Drawn(
        (("M", tip_x, tip_y), ("L", tip_x - 48, tip_y + 105), ("L", tip_x + 48, tip_y + 105), ("Z",))
    )
    canvas.draw([curve, point], "bend")


def _end_of(canvas: Canvas, bar: int, sign: Sign, ids: list[str]) -> float:
    """The x at which a note's sounding ends on the page: the next note's left edge, or the barline."""
    last = sign.until or sign.id
    after = ids.index(last) + 1 if last in ids else len(ids)
    head = canvas.head(ids[after]) if after < len(ids) else None
    return _before(head) if head else canvas.bar(bar).content_right


def _shake(canvas: Canvas, head: Head, end: float) -> None:
    wave = 0.42 * SPACE
    count = max(3, int((end - 0.6 * SPACE - head.left) / wave))
    right = head.left + count * wave
    y = min(canvas.sky.highest(head.left - 30.0, right + 30.0) - 0.5 * SPACE, canvas.top - 0.6 * SPACE)
    path: list[tuple[str, *tuple[float, ...]]] = [("M", head.left, y)]
    for i in range(count):
        x = head.left + i * wave
        lift = -0.3 * SPACE if i % 2 == 0 else 0.3 * SPACE
        path.append(("Q", x + wave / 2, y + lift, x + wave, y))
    canvas.draw([Drawn(tuple(path), 32.0)], "vibrato")


def _letter(canvas: Canvas, string: str, head: Head) -> None:
    what = letters(string)
    x = head.middle - what.advance / 2
    # Asked for the whole head, stem and all: neighbours of one height get letters at one height.
    high = canvas.sky.highest(min(x, head.left), max(x + what.advance, head.right))
    y = min(high - _AIR, canvas.top - 0.45 * SPACE)
    canvas.put(what, x, y, "letters")


def place_tuplets(canvas: Canvas, mei: BarMei) -> None:
    """Number the tuplets of a bar on the side of their stems, outside of all that stands at their notes; of nested
    ones the inner nearest to the notes.
    """
    for sign in sorted(mei.notes.tuplets, key=lambda sign: -sign.depth):
        heads = [head for id in sign.ids if (head := canvas.head(id)) is not None]
        if len(heads) == len(sign.ids):
            _tuplet(canvas, sign, heads)


def _tuplet(canvas: Canvas, sign: TupletSign, heads: Sequence[Head]) -> None:
    stems = [head for head in heads if head.stem is not None]
    up = 2 * sum(head.stem_up for head in stems) >= len(stems)
    left, right = heads[0].left, heads[-1].right
    number = _digits(sign.number)
    assert number.box is not None
    wide, high = number.box.width, number.box.height
    air = 0.3 * SPACE
    x = (left + right - wide) / 2
    if not sign.bracket and heads[0].stem and heads[-1].stem:  # over the beam, which may slant
        x = (heads[0].stem[0] + heads[-1].stem[0] - wide) / 2
        left, right = x - 0.1 * SPACE, x + wide + 0.1 * SPACE
    if up:
        middle = min(canvas.sky.highest(left, right), canvas.top) - air - high / 2
    else:
        middle = max(canvas.sky.lowest(left, right), canvas.bottom) + air + high / 2
    canvas.put(number, x - number.box.left, middle + high / 2 - number.box.bottom, "tuplet")
    if sign.bracket:
        hook = 0.45 * SPACE if up else -0.45 * SPACE
        marks = [
            stroke(left, middle, x - air, middle),
            stroke(x + wide + air, middle, right, middle),
            stroke(left, middle - hook / 40, left, middle + hook),
            stroke(right, middle - hook / 40, right, middle + hook),
        ]
        canvas.draw(marks, "tuplet")


@cache
def _digits(number: int) -> Ink:
    """A tuplet's number in the digits of the music font (SMuFL `Tuplets`: E880 + digit)."""
    pen, marks = 0.0, []
    for digit in str(number):
        found = music(f"E88{digit}")
        marks.append(Use(found.glyph, pen, 0.0, 0.54))
        pen += found.advance * 0.54
    return ink(marks, pen, str(number), 300.0)


def place_letters(canvas: Canvas, found: Sequence[Letter], elsewhere: frozenset[str] = frozenset()) -> None:
    """Write H and P over (or under) the slurs they belong to, halfway between their notes.

    `elsewhere`: ids of notes in the tablature; between two of those the letter stands there.
    """
    for letter in found:
        if letter.start in elsewhere and letter.end in elsewhere:
            continue
        start = canvas.head(letter.start) if canvas.has(letter.start_bar) else None
        end = canvas.head(letter.end) if canvas.has(letter.end_bar) else None
        if end is None:
            continue  # the letter stands where the curve arrives
        middle = (start.middle + end.middle) / 2 if start else end.middle - SPACE
        curve = canvas.engraved.curves.get(letter.slur)
        what = letters(letter.letter)
        assert what.box is not None
        x = middle - what.advance / 2
        below = not curve.above if curve is not None else end.stem_up
        if below:
            y = canvas.sky.lowest(x, x + what.advance) + _AIR - what.box.top
        else:
            y = canvas.sky.highest(x, x + what.advance) - _AIR
        canvas.put(what, x, y, "letters")
