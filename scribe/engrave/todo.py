"""Bars without notes: those still to do, on a pale ground and with words that say so, and two-bar repeats."""

from __future__ import annotations

from scribe.engrave import ink as draw
from scribe.engrave.canvas import Canvas
from scribe.engrave.ink import Use, ink
from scribe.engrave.ink.faces import music
from scribe.engrave.ink.shapes import rectangle
from scribe.engrave.mei.bar import BarMei
from scribe.engrave.options import SPACE
from scribe.music.piece import Bar

TINT = "#f8ece6"


def place_todo(canvas: Canvas, bar: int, mei: BarMei) -> None:
    """Mark a bar that is to do or could not be read, or the stretches of a bar that are to do."""
    place = canvas.bar(bar)
    if mei.face in ("todo", "broken"):
        left = place.left if place.content_left == place.left else place.content_left + 0.6 * SPACE
        words = "to do" if mei.face == "todo" else "to mend"
        _mark(canvas, left, place.content_right, words)
        return
    todo = {sign.id for sign in mei.notes.signs if sign.kind == "todo"}
    if not todo:
        return
    order = [id for _, id in mei.notes.at]
    start: float | None = None
    for id in [*order, ""]:
        head = canvas.head(id)
        if id in todo and head is not None:
            start = head.left - 0.5 * SPACE if start is None else start
        elif start is not None:
            end = min(head.left, head.box.left) - 0.35 * SPACE if head else place.content_right
            for each in canvas.placed:  # a slide into the note behind the stretch
                box = each.box if each.kind == "slide" else None
                if box is not None and start < box.left < end:
                    end = box.left - 0.2 * SPACE
            _mark(canvas, start, end, "to do")
            start = None


def _mark(canvas: Canvas, left: float, right: float, words: str) -> None:
    canvas.beneath([rectangle(left, canvas.top, right, canvas.bottom, TINT)], "to-do")
    label = draw.to_do(words)
    if label.advance + 0.6 * SPACE > right - left:
        label = draw.to_do("?")
    middle = (canvas.top + canvas.bottom) / 2
    canvas.put(label, (left + right) / 2 - label.advance / 2, middle, "to-do")


def place_double_repeat(canvas: Canvas, index: int, bar: Bar) -> None:
    """Draw the sign of a two-bar repeat over the barline between its bars (SMuFL `repeat2Bars`)."""
    if bar.repeat != 2 or bar.repeat_part != 1:
        return
    place = canvas.bar(index)
    glyph = music("E501").glyph
    assert glyph.box is not None
    scale = 0.72
    # Where the system ends between the two bars, the sign moves into the first.
    x = place.right if canvas.has(index + 1) else place.content_right - SPACE - glyph.box.right * scale / 2
    middle = (canvas.top + canvas.bottom) / 2
    left = x - (glyph.box.left + glyph.box.right) / 2 * scale
    canvas.put(ink((Use(glyph, left, middle, scale),)), 0.0, 0.0, "repeat")
    number = draw.text("2", "serif-bold", 400.0)
    assert number.box is not None
    y = canvas.top - 0.5 * SPACE
    canvas.put(number, x - number.advance / 2, y, "repeat")
