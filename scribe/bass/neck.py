"""A small picture of the neck: where a bar lies, finger by finger. Our own drawing, as SVG for the live page."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from html import escape
from typing import NamedTuple

from scribe.bass.fingered import Fingered
from scribe.bass.fretboard import Fretboard
from scribe.bass.grips import Grip
from scribe.bass.ways import neck_at
from scribe.bass.words import bar_name, finger_name, roman
from scribe.music.tuning import string_name

_FRET = 40.0  # width of a fret
_STRING = 19.0  # between two strings
_LEFT = 46.0  # names of the strings and open notes
_TOP = 24.0  # numerals of the positions
_BOTTOM = 24.0  # numbers of the frets
_DOT = 8.2
_FEWEST = 5  # frets that are always shown
_MARKED = frozenset((3, 5, 7, 9, 12, 15, 17, 19, 21, 24))  # frets with a dot in the neck (common practice)


class Dot(NamedTuple):
    """One place in the picture; `label` is the finger. `fret` None is a dead note."""

    string: int
    fret: int | None
    label: str


def neck_diagram(found: Fingered, bar: int, number: int | None = None) -> str:
    """Return the SVG of the neck for one bar (by index), empty where nothing in it has a place.

    `number`: the bar's printed one, if it is not the bar's own.

    Strings lie as in a tablature, the highest on top. Dots carry the finger, rings are open strings, crosses dead
    notes; a Roman numeral stands over the fret of the first finger. It is drawn in `currentColor`, about 260 by
    110 px for four strings.
    """
    chosen = [
        (i, grip)
        for i, (place, grip) in enumerate(zip(found.line.places, found.grips, strict=True))
        if place.bar == bar and grip is not None
    ]
    if not chosen:
        return ""
    neck = neck_at(found.line, chosen[0][0])
    grips = [grip for i, grip in chosen if neck_at(found.line, i) == neck]
    title = f"{bar_name(found.piece.bars[bar].number if number is None else number)} on the neck"
    return draw_neck(neck, dots_of(grips), positions_of(grips), title)


def dots_of(grips: Iterable[Grip]) -> list[Dot]:
    """Return every place of some grips once; a place that two fingers take is labelled with both: `2/4`."""
    labels: dict[tuple[int, int | None], list[str]] = {}
    for grip in grips:
        for stop in grip.stops:
            names = labels.setdefault((stop.string, stop.fret), [])
            name = finger_name(stop.finger) if stop.fret else ""
            if name not in names:
                names.append(name)
    return [Dot(string, fret, "/".join(names)) for (string, fret), names in labels.items()]


def positions_of(grips: Iterable[Grip]) -> list[int]:
    """Return the positions that the hand takes, in order, each once."""
    return list(dict.fromkeys(grip.hand for grip in grips if not grip.frees_the_hand))


def window_of(dots: Sequence[Dot], frets: int) -> tuple[int, int]:
    """Return the first and last fret to show: those of the dots with one more above, from the nut if they are low."""
    stopped = [dot.fret for dot in dots if dot.fret]
    if not stopped:
        return 1, min(_FEWEST, frets)
    low, high = min(stopped), max(stopped)
    low = 1 if low <= 2 else low - 1
    high = min(frets, max(high + 1, low + _FEWEST - 1))
    return low, high


def draw_neck(neck: Fretboard, dots: Sequence[Dot], positions: Sequence[int], title: str) -> str:
    """Return the picture of a part of a neck as one SVG element."""
    low, high = window_of(dots, neck.frets)
    count = len(neck.tuning)
    width = _LEFT + (high - low + 1) * _FRET + 14
    height = _TOP + (count - 1) * _STRING + _BOTTOM + 8
    bottom = _TOP + (count - 1) * _STRING
    right = width - 14

    def x_of(fret: int) -> float:
        return _LEFT + (fret - low + 0.5) * _FRET

    def y_of(string: int) -> float:
        return _TOP + (string - 1) * _STRING

    parts: list[str] = []
    for fret in range(low, high + 1):
        if fret in _MARKED:
            spots = (0.5,) if fret % 12 else (0.25, 0.75)
            parts += [
                f'<circle cx="{x_of(fret):g}" cy="{_TOP + at * (bottom - _TOP):g}" r="5" '
                'fill="currentColor" opacity="0.13"/>'
                for at in spots
            ]
    for edge in range(high - low + 2):
        x = _LEFT + edge * _FRET
        nut = low == 1 and edge == 0
        parts.append(_line(x, _TOP, x, bottom, 4 if nut else 1, 1 if nut else 0.45))
    for string in range(1, count + 1):
        thick = 0.8 + 0.35 * (string - 1)
        parts.append(_line(_LEFT, y_of(string), right, y_of(string), thick, 0.75))
        parts.append(_text(12, y_of(string), string_name(neck.tuning, string), 11, "middle"))
    for fret in range(low, high + 1):
        if fret in _MARKED or fret == low:
            parts.append(_text(x_of(fret), bottom + 20, str(fret), 10, "middle", 0.6))
    for position in positions:
        if low <= position <= high:
            parts.append(_text(x_of(position), 9, roman(position), 11, "middle", weight="bold"))
    parts += [_dot(dot, x_of, y_of) for dot in dots]
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="neck" role="img" viewBox="0 0 {width:g} {height:g}" '
        f'width="{width:g}" height="{height:g}" font-family="sans-serif">'
        f"<title>{escape(title)}</title>{''.join(parts)}</svg>"
    )


def _dot(dot: Dot, x_of: Callable[[int], float], y_of: Callable[[int], float]) -> str:
    y = y_of(dot.string)
    if not dot.fret:
        x = _LEFT - 14
        if dot.fret is None:
            arm = 4.5
            return _line(x - arm, y - arm, x + arm, y + arm, 1.6) + _line(
                x - arm, y + arm, x + arm, y - arm, 1.6
            )
        return f'<circle cx="{x:g}" cy="{y:g}" r="5.5" fill="none" stroke="currentColor" stroke-width="1.6"/>'
    x = x_of(dot.fret)
    size = 11 if len(dot.label) < 2 else 8.5
    return (
        f'<circle cx="{x:g}" cy="{y:g}" r="{_DOT:g}" fill="currentColor"/>'
        f'<text x="{x:g}" y="{y + size * 0.36:g}" font-size="{size:g}" text-anchor="middle" '
        f'fill="#fff" font-weight="bold">{escape(dot.label)}</text>'
    )


def _line(x1: float, y1: float, x2: float, y2: float, width: float, opacity: float = 1.0) -> str:
    return (
        f'<line x1="{x1:g}" y1="{y1:g}" x2="{x2:g}" y2="{y2:g}" stroke="currentColor" '
        f'stroke-width="{width:g}" opacity="{opacity:g}"/>'
    )


def _text(
    x: float, y: float, text: str, size: float, anchor: str, opacity: float = 1.0, weight: str = "normal"
) -> str:
    return (
        f'<text x="{x:g}" y="{y + size * 0.36:g}" font-size="{size:g}" text-anchor="{anchor}" '
        f'fill="currentColor" opacity="{opacity:g}" font-weight="{weight}">{escape(text)}</text>'
    )
