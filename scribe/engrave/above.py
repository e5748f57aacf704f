"""Above the staff, from the notes outwards: bar number, chord symbols, words, endings, and the row of the form."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from itertools import combinations, pairwise

from scribe.engrave import ink as draw
from scribe.engrave.canvas import Canvas, stroke
from scribe.engrave.extents import Extent, carried_on, with_line
from scribe.engrave.ink import Ink, join, lay
from scribe.engrave.mei.bar import BarMei
from scribe.engrave.options import SPACE
from scribe.engrave.rows import Item, set_row, set_rows, share_out
from scribe.music.events import PlacedChord
from scribe.music.inforce import Feel, Tempo
from scribe.music.piece import Bar
from scribe.source.directions import DIRECTIONS

SIGNS = {
    "segno": draw.segno,
    "coda": draw.coda,
}  # stand at the bar's left; other words of the form at its right


def chord_ink(chord: PlacedChord) -> Ink:
    """Return the drawing of a chord symbol."""
    return draw.chord(chord.name, chord.doubtful)


def chord_width(chord: PlacedChord) -> float:
    """Return how much room along the line a chord symbol takes, in page units."""
    found = chord_ink(chord)
    return max(found.advance, found.box.right if found.box else 0.0)


def place_bar_number(canvas: Canvas, bar: Bar, first: bool) -> None:
    """Number the system's first bar, above the clef; the piece's first is not numbered."""
    if first or bar.number < 2:
        return
    number = draw.bar_number(bar.number)
    high = canvas.sky.highest(0.0, number.advance)
    canvas.put(number, 0.0, min(canvas.top - 0.75 * SPACE, high - 0.3 * SPACE), "bar-number")


def place_chords(canvas: Canvas, meis: Sequence[BarMei]) -> None:
    """Set all chord symbols of the system in one row; where they are too many for it, all a little smaller."""
    for by in _CHORD_SIZES:
        items = [
            Item(_sized(chord_ink(item), by), canvas.anchor_x(canvas.start + offset, anchor), "chord")
            for offset, mei in enumerate(meis)
            for item, anchor in mei.chords
            if isinstance(item, PlacedChord)
        ]
        rows = share_out(items, 0.5 * SPACE * by, 1.2 * SPACE, canvas.edge)
        if len(rows) <= 1:
            break
    set_rows(canvas, rows, "above", air=0.45 * SPACE, nearest=1.5 * SPACE)


_CHORD_SIZES = (1.0, 0.9, 0.8, 0.72)


def _sized(what: Ink, by: float) -> Ink:
    return what if by == 1.0 else what.scale(by)


def place_words(canvas: Canvas, meis: Sequence[BarMei], found: Sequence[Extent]) -> None:
    """Set texts and playing directions in a row of their own above the chord symbols that they would touch.

    `found`: the directions with a line that shows how far they reach.
    """
    lined = {(each.start_bar, each.start): each for each in found}
    inks: dict[tuple[int, str], list[Ink]] = {}
    texts: dict[tuple[int, str], str] = {}  # of those places that have nothing but one text
    for offset, mei in enumerate(meis):
        for word, anchor in mei.words:
            assert not isinstance(word, PlacedChord)
            string = word.text
            if word.kind == "direction":
                info = DIRECTIONS.get(word.text)
                if info is None or info.kind != "playing":
                    continue
                string = info.words
            place = (canvas.start + offset, anchor)
            texts[place] = "" if place in inks else string
            inks.setdefault(place, []).append(draw.direction(string))
    items = [Item(what, x, "words") for what, x in carried_on(canvas, found)]
    for (bar, anchor), some in inks.items():
        what = join(*some, gap=0.9 * SPACE)
        x = canvas.word_x(bar, anchor, what.advance)
        if (bar, anchor) in lined:
            what = with_line(canvas, what, x, lined[bar, anchor])
        elif texts[bar, anchor] and x + what.advance > canvas.edge:
            what = _broken(texts[bar, anchor], canvas.edge - x)
        items.append(Item(what, x, "words"))
    set_row(canvas, items, "above", air=0.4 * SPACE, nearest=1.1 * SPACE, apart=0.9 * SPACE)


def _broken(string: str, room: float) -> Ink:
    """A text in two lines, or three, so that it may begin where it belongs; the last stands on the baseline."""
    words = string.split()
    best = [string]
    for count in (2, 3):
        ways = [
            [" ".join(words[a:b]) for a, b in pairwise((0, *cuts, len(words)))]
            for cuts in combinations(range(1, len(words)), count - 1)
        ]
        if not ways:
            break
        best = min(ways, key=_uneven)
        if _uneven(best)[0] <= room:
            break
    lines = [draw.direction(line).shift(0.0, -_LEADING * above) for above, line in enumerate(reversed(best))]
    return lay(*lines, text=string, size=lines[0].size)


def _uneven(lines: Sequence[str]) -> tuple[float, float]:
    """How long the longest line is, and how far from equal they all are."""
    wide = [draw.direction(line).advance for line in lines]
    return max(wide), sum(each * each for each in wide)


_LEADING = 440.0  # from baseline to baseline of a text in lines


# --- endings ----------------------------------------------------------------------------------------------------


def place_endings(canvas: Canvas, bars: Sequence[Bar]) -> None:
    """Draw the brackets of first and second endings, all of a system at one height."""
    runs = list(_runs(bars))
    if not runs:
        return
    height = 2.6 * SPACE
    y = canvas.top - 3.2 * SPACE
    for start, end in runs:
        left, right = canvas.bar(canvas.start + start).left, canvas.bar(canvas.start + end).right
        y = min(y, canvas.sky.highest(left, right) - 0.4 * SPACE - height)
    for start, end in runs:
        first, last = canvas.bar(canvas.start + start), canvas.bar(canvas.start + end)
        left = (first.content_left if start == 0 else first.left) + 0.15 * SPACE
        right = last.right - 0.15 * SPACE
        marks = [stroke(left, y, right, y)]
        if bars[start].ending_starts:
            marks.append(stroke(left, y - 11, left, y + 0.75 * height))
        closes = bars[end].right in ("repeat end", "repeat both", "final", "double")
        if bars[end].ending_ends and closes:
            marks.append(stroke(right, y - 11, right, y + 0.75 * height))
        canvas.draw(marks, "ending")
        if bars[start].ending_starts:
            number = draw.volta(bars[start].endings)
            canvas.put(number, left + 0.55 * SPACE, y + 1.95 * SPACE, "ending-number")


def _runs(bars: Sequence[Bar]) -> list[tuple[int, int]]:
    runs: list[tuple[int, int]] = []
    for index, bar in enumerate(bars):
        if not bar.endings:
            continue
        if runs and runs[-1][1] == index - 1 and not bar.ending_starts:
            runs[-1] = (runs[-1][0], index)
        else:
            runs.append((index, index))
    return runs


# --- the row of the form ----------------------------------------------------------------------------------------


def place_form(canvas: Canvas, bars: Sequence[Bar], meis: Sequence[BarMei], said: dict[str, str]) -> None:
    """Set rehearsal boxes, segno and coda signs, tempo and feel, To Coda and D.S. in the row farthest out.

    `said`: the printed words of the form's directions in this piece (`D.S. al Coda`).
    """
    items: list[Item] = []
    for offset, (bar, mei) in enumerate(zip(bars, meis, strict=True)):
        place = canvas.bar(canvas.start + offset)
        lead: list[Ink] = [draw.box(bar.section)] if bar.section else []
        for word, anchor in mei.words:
            if isinstance(word, PlacedChord) or word.kind != "direction" or word.text not in said:
                continue
            if word.text not in SIGNS:
                what = draw.to_coda() if word.text == "tocoda" else draw.form_words(said[word.text])
                items.append(Item(what, place.right - what.advance, "form"))
            elif word.onset == 0:
                lead.append(SIGNS[word.text]())
            else:
                what = SIGNS[word.text]()
                x = canvas.word_x(canvas.start + offset, anchor, what.advance)
                items.append(Item(what, x, "form"))
        tempo = _tempo(bar)
        if tempo is not None:
            lead.append(tempo)
        if lead:
            x = 0.0 if offset == 0 else place.left
            items.append(Item(join(*lead, gap=0.85 * SPACE), x, "form"))
    set_row(
        canvas, items, "above", air=0.55 * SPACE, nearest=2.4 * SPACE, apart=1.5 * SPACE, slide=2.0 * SPACE
    )


def _tempo(bar: Bar) -> Ink | None:
    if bar.tempo is None and bar.feel is None:
        return None
    return _tempo_ink(bar.tempo, bar.feel)


@lru_cache(maxsize=256)
def _tempo_ink(mark: Tempo | None, feel: Feel | None) -> Ink | None:
    parts = []
    if mark is not None:
        parts.append(draw.tempo(mark))
    if feel is not None and feel.name != "straight":
        parts.append(draw.swing(feel))
    elif feel is not None and mark is None:
        parts.append(draw.text("straight", "serif-semibold", 450.0))
    return join(*parts, gap=1.6 * SPACE) if parts else None


def form_words(bars: Sequence[Bar]) -> dict[str, str]:
    """Return what the directions of the form say in this piece: D.S. and D.C. name where to go on."""
    used = {
        word.text
        for bar in bars
        for word in bar.music.words
        if word.kind == "direction" and word.text in _FORM
    }
    said = {name: DIRECTIONS[name].words for name in used}
    aim = " al Coda" if used & {"tocoda", "coda"} else " al Fine" if "fine" in used else ""
    for name in ("ds", "dc"):
        if name in said:
            said[name] += aim
    return said


_FORM = {name for name, info in DIRECTIONS.items() if info.kind == "form"}
