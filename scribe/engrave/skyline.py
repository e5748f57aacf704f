"""How high and how low the ink of a system reaches, all along its width."""

from __future__ import annotations

from scribe.engrave.ink import Box

STEP = 40.0  # page units: a slice of the outline
_WIDE = 12  # slices: beyond that all at once is quicker than one by one
MARGIN = 800.0  # how far the outline is kept beyond the system's ends


class Skyline:
    """The upper and the lower outline of what has been drawn, in slices of STEP.

    y grows downwards, so the upper outline is the smallest y of a slice. Questions round outwards: what fits
    according to the outline fits in truth. The outline begins MARGIN left of x = 0 and ends as far right of `width`.
    """

    __slots__ = ("_last", "low", "top")

    def __init__(self, width: float) -> None:
        count = int((width + 2 * MARGIN) / STEP) + 2
        self._last = count - 1
        self.top: list[float] = [1e9] * count
        self.low: list[float] = [-1e9] * count

    def add(self, left: float, top: float, right: float, bottom: float) -> None:
        """Note a rectangle of ink."""
        # As in `_slices`, written out: this is called for every piece of ink.
        first = int((left + MARGIN) / STEP)
        end = int((right + MARGIN) / STEP) + 1
        if first < 0 or end > self._last:
            first, end = self._slices(left, right)
        tops, lows = self.top, self.low
        if end - first > _WIDE:
            tops[first:end] = [top if top < there else there for there in tops[first:end]]
            lows[first:end] = [bottom if bottom > there else there for there in lows[first:end]]
            return
        for i in range(first, end):
            if top < tops[i]:
                tops[i] = top
            if bottom > lows[i]:
                lows[i] = bottom

    def add_box(self, box: Box | None) -> None:
        """Note a box of ink; None is no ink."""
        if box is not None:
            self.add(*box)

    def add_stroke(self, x0: float, y0: float, x1: float, y1: float, half: float) -> list[Box]:
        """Note a straight stroke, `half` of its width on either side; return the boxes that cover it."""
        if x1 < x0:
            x0, y0, x1, y1 = x1, y1, x0, y0
        if x1 - x0 <= 2 * STEP or y0 == y1:
            boxes = [Box(x0 - half, min(y0, y1) - half, x1 + half, max(y0, y1) + half)]
        else:
            pieces = int((x1 - x0) / (2 * STEP)) + 1
            across, down = (x1 - x0) / pieces, (y1 - y0) / pieces
            boxes = []
            for i in range(pieces):
                x, y = x0 + i * across, y0 + i * down
                top, bottom = (y, y + down) if down >= 0 else (y + down, y)
                boxes.append(Box(x - half, top - half, x + across + half, bottom + half))
        for box in boxes:
            self.add(*box)
        return boxes

    def highest(self, left: float, right: float) -> float:
        """Return the smallest y of any ink between two x; 1e9 where there is none."""
        first, end = self._slices(left, right)
        return min(self.top[first:end])

    def lowest(self, left: float, right: float) -> float:
        """Return the greatest y of any ink between two x; -1e9 where there is none."""
        first, end = self._slices(left, right)
        return max(self.low[first:end])

    def gap_below(self, other: Skyline) -> float:
        """Return how far `other` must move down to touch this outline from below, both with y = 0 in common.

        Negative if they are apart already where they lie.
        """
        return max((mine - theirs for mine, theirs in zip(self.low, other.top, strict=False)), default=-1e9)

    def _slices(self, left: float, right: float) -> tuple[int, int]:
        first = int((left + MARGIN) / STEP)
        end = int((right + MARGIN) / STEP) + 1
        last = self._last
        first = 0 if first < 0 else min(first, last)
        return first, max(first + 1, min(end, last + 1))
