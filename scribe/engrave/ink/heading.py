"""The title block, the running head and the page number."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from scribe.engrave.ink.faces import Face
from scribe.engrave.ink.model import GREY, Ink
from scribe.engrave.ink.words import text

TITLE = 900.0
_SMALLEST_TITLE = 640.0
CREDIT = 450.0
_TITLE_FACE: Face = "serif-semibold"
_CREDIT_DOWN = 780.0  # from the title's baseline to that of the credits
_CREDIT_LINE = 540.0


class Piece(NamedTuple):
    """An Ink with its place, from the left and top edge of the text area."""

    ink: Ink
    x: float
    y: float
    kind: str


class TitleBlock(NamedTuple):
    """Pieces and the height they need from the top of the text area to the lowest mark."""

    pieces: tuple[Piece, ...]
    height: float


def title_block(title: str, left: Sequence[str], right: Sequence[str], width: float) -> TitleBlock:
    """The head of the first page: title in the middle, lines of words at the left and at the right edge below it.

    A title too wide for `width` is set smaller, then on two lines; credits too wide to stand side by side go below
    each other.
    """
    pieces: list[Piece] = []
    baseline = 0.0
    for line in _title_lines(title, width):
        baseline += (0.68 if not baseline else 1.12) * line.size
        pieces.append(Piece(line, (width - line.advance) / 2, baseline, "title"))
    first = baseline + (_CREDIT_DOWN if baseline else 0.7 * CREDIT)
    lefts = [_fitted(words, "sans", CREDIT, width) for words in left if words.strip()]
    rights = [_fitted(words, "serif", CREDIT, width) for words in right if words.strip()]
    widest = max((ink.advance for ink in lefts), default=0.0) + max(
        (ink.advance for ink in rights), default=0.0
    )
    down = len(lefts) if widest > width - CREDIT else 0
    for row, ink in enumerate(lefts):
        pieces.append(Piece(ink, 0.0, first + row * _CREDIT_LINE, "part"))
    for row, ink in enumerate(rights):
        pieces.append(Piece(ink, width - ink.advance, first + (row + down) * _CREDIT_LINE, "credit"))
    lowest = max((piece.y + piece.ink.box.bottom for piece in pieces if piece.ink.box), default=0.0)
    return TitleBlock(tuple(pieces), lowest)


def running_head(title: str, width: float) -> Ink:
    """The title at the head of the pages after the first, cut short where it would reach the page number."""
    return _cut(title, "serif-italic", 400.0, 0.8 * width)


def page_number(number: int, of: int) -> Ink:
    """`2 / 3`."""
    return text(f"{number} / {of}", "sans", 340.0).tinted(GREY)


def _title_lines(title: str, width: float) -> list[Ink]:
    words = title.split()
    if not words:
        return []
    whole = text(" ".join(words), _TITLE_FACE, TITLE)
    if whole.advance <= width:
        return [whole]
    size = TITLE * width / whole.advance
    if size >= _SMALLEST_TITLE or len(words) == 1:
        return [text(" ".join(words), _TITLE_FACE, max(size, 1.0))]
    ways = (
        [text(" ".join(part), _TITLE_FACE, _SMALLEST_TITLE) for part in (words[:cut], words[cut:])]
        for cut in range(1, len(words))
    )
    best = min(ways, key=lambda lines: max(line.advance for line in lines))
    far = max(line.advance for line in best)
    if far <= width:
        return best
    return [text(line.text, _TITLE_FACE, _SMALLEST_TITLE * width / far) for line in best]


def _fitted(words: str, face: Face, size: float, width: float) -> Ink:
    drawn = text(words, face, size)
    return drawn if drawn.advance <= width else text(words, face, size * width / drawn.advance)


def _cut(words: str, face: Face, size: float, width: float) -> Ink:
    drawn = text(words, face, size)
    kept = words
    while drawn.advance > width and kept:
        kept = kept[:-1]
        drawn = text(kept.rstrip() + "…", face, size)
    return drawn.named(words) if kept != words else drawn
