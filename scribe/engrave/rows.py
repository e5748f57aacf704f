"""Rows of words above and below a staff: everything of one kind on one baseline, clear of all ink."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from scribe.engrave.canvas import Canvas
from scribe.engrave.ink import Ink


@dataclass(slots=True)
class Item:
    """Something to set in a row; `x` is where its origin wants to be."""

    ink: Ink
    x: float
    kind: str

    @property
    def left(self) -> float:
        return self.x + (self.ink.box.left if self.ink.box else 0.0)

    @property
    def right(self) -> float:
        box = self.ink.box
        return self.x + max(self.ink.advance, box.right if box else 0.0)


def set_row(
    canvas: Canvas,
    items: Sequence[Item],
    side: Literal["above", "below"],
    *,
    air: float,
    nearest: float,
    apart: float,
    slide: float = 0.0,
) -> float | None:
    """Draw items on one baseline and return its y; None without items.

    `air` is kept to all ink, `nearest` is the baseline's least distance from the staff (its top line above, its
    bottom line below), `apart` the least distance between two items. Where two would touch, the right one gives way
    by at most `slide`, else it goes to a row of its own beyond.
    """
    return set_rows(canvas, share_out(items, apart, slide, canvas.edge), side, air=air, nearest=nearest)


def set_rows(
    canvas: Canvas,
    rows: Sequence[Sequence[Item]],
    side: Literal["above", "below"],
    *,
    air: float,
    nearest: float,
) -> float | None:
    """Draw rows of items, each row on one baseline, from the staff outwards; return the y of the first."""
    first: float | None = None
    for row in rows:
        if side == "above":
            base = canvas.top - nearest if first is None else first
            y = min(base, *(_above(canvas, item, air) for item in row))
        else:
            base = canvas.bottom + nearest if first is None else first
            y = max(base, *(_below(canvas, item, air) for item in row))
        for item in row:
            canvas.put(item.ink, item.x, y, item.kind)
        first = y if first is None else first
    return first


def _above(canvas: Canvas, item: Item, air: float) -> float:
    box = item.ink.box
    if box is None:
        return canvas.top
    return canvas.sky.highest(item.left - air, item.right + air) - air - box.bottom


def _below(canvas: Canvas, item: Item, air: float) -> float:
    box = item.ink.box
    if box is None:
        return canvas.bottom
    return canvas.sky.lowest(item.left - air, item.right + air) + air - box.top


def share_out(items: Sequence[Item], apart: float, slide: float, edge: float) -> list[list[Item]]:
    """Return the items as rows, so that no two of a row touch and none sticks out at the right edge.

    Items are moved to the right by at most `slide` for that.
    """
    items = sorted(items, key=lambda item: item.x)
    for item in items:
        if item.right - item.left > edge:  # longer than the whole system: as small as it must be
            item.ink, item.x = item.ink.scale(edge / (item.right - item.left)), 0.0
        if item.right > edge:
            item.x -= min(item.right - edge, max(0.0, item.left))
    rows: list[list[Item]] = []
    for item in items:
        for row in rows:
            over = row[-1].right + apart - item.left
            if over <= 0:
                row.append(item)
                break
            if over <= slide and item.right + over <= edge:
                item.x += over
                row.append(item)
                break
        else:
            rows.append([item])
    return rows
