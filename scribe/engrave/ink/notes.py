"""Drawn note values: the note of a tempo mark and the swing equation."""

from __future__ import annotations

from fractions import Fraction

from scribe.engrave.ink.faces import music
from scribe.engrave.ink.model import Drawn, Ink, Mark, Use, ink, join, lay
from scribe.engrave.ink.shapes import disc, line, polygon
from scribe.engrave.ink.words import text
from scribe.music.inforce import Feel, Tempo

TEMPO = 450.0  # em of the words and numbers
_HEAD = 0.54  # note heads: page units for one unit of the music font (a page's own heads: 0.72)
_SPACE = 250 * _HEAD  # one staff space at that size
_STEM = 3.1 * _SPACE
_WEIGHT = 24.0
_BEAM = 0.46 * _SPACE
_FLAGS = {"E": "E240", "S": "E242", "T": "E244"}
_HEADS = {"W": "E0A2", "H": "E0A3"}
_SAID = {"W": "whole", "H": "half", "Q": "quarter", "E": "eighth", "S": "16th", "T": "32nd"}
_GAP = 150.0  # between the words and the note
_AIR = Ink(advance=25.0)  # a note has no side bearing of its own


def note(value: str) -> Ink:
    """A note with its stem up on the baseline. `value`: `W H Q E S T` and dots, such as `Q.`.

    Raises:
        ValueError: another letter.
    """
    letter, dots = value[:1], value.count(".")
    if letter not in _SAID or value.rstrip(".") != letter:
        raise ValueError(f"no note value {value!r}")
    marks: list[Mark] = [_head(letter, 0.0)]
    pen = right = _width(letter)
    if letter != "W":
        marks.append(_stem(right))
    if letter in _FLAGS:
        flag = Use(music(_FLAGS[letter]).glyph, right - _WEIGHT, _LINE - _STEM, _HEAD)
        marks.append(flag)
        pen = max(pen, flag.box.right if flag.box else 0.0)
    for _ in range(dots):
        pen += 0.38 * _SPACE
        marks.append(disc(pen + 0.24 * _SPACE, _LINE - 0.14 * _SPACE, 0.24 * _SPACE))
        pen += 0.48 * _SPACE
    said = ("dotted " * dots) + _SAID[letter]
    return ink(marks, pen, said, TEMPO)


_LINE = -0.5 * _SPACE  # the middle of a head whose foot stands on the baseline


def _head(letter: str, x: float) -> Use:
    return Use(music(_HEADS.get(letter, "E0A4")).glyph, x, _LINE, _HEAD)


def _width(letter: str) -> float:
    box = music(_HEADS.get(letter, "E0A4")).glyph.box
    assert box is not None
    return box.right * _HEAD


def _stem(x: float) -> Drawn:
    """A stem up at the right edge `x` of a head."""
    return line(x - _WEIGHT / 2, _LINE - 0.15 * _SPACE, x - _WEIGHT / 2, _LINE - _STEM, _WEIGHT)


def tempo(mark: Tempo) -> Ink:
    """Words, a note value and the beats a minute; what the mark does not have is left out."""
    words = text(mark.words, "serif-semibold", TEMPO) if mark.words else None
    if mark.bpm is None:
        return words or Ink()
    value = note(mark.value or "Q")
    equals = _equals(TEMPO)
    beats = text(beats_text(mark.bpm), "serif", TEMPO)
    rate = join(join(value, _AIR), equals, beats, gap=75.0, text=f"{value.text} = {beats.text}")
    return join(words, rate, gap=_GAP) if words else rate


def beats_text(bpm: Fraction) -> str:
    """Beats a minute as they are printed: whole, or with at most two decimals."""
    return f"{float(bpm):.2f}".rstrip("0").rstrip(".")


def _equals(size: float) -> Ink:
    return text("=", "serif", size)


def swing(feel: Feel) -> Ink:
    """What a feel looks like, in parentheses; no marks for straight.

    Swing and shuffle: two eighths (or 16ths) = a long and a short one of a triplet, as is usual in print. A
    ratio is said in words after the two notes, a triplet feel in words only.
    """
    sixteenths = feel.unit == "16"
    pair = _pair(2 if sixteenths else 1)
    what = "16ths" if sixteenths else "eighths"
    if feel.name == "straight":
        return Ink()
    if feel.name == "triplet":
        return text("(triplet feel)", "serif-italic", TEMPO)
    if feel.ratio is not None:
        said = text(f"swung {feel.ratio[0]}:{feel.ratio[1]}", "serif-italic", TEMPO)
        inside = join(pair, said, gap=120.0)
        return _parentheses(inside).named(f"({what} {said.text})", TEMPO)
    inside = join(pair, _equals(TEMPO), _long_short(sixteenths), gap=90.0)
    if feel.name == "shuffle":
        inside = join(text("shuffle", "serif-italic", TEMPO), inside, gap=110.0)
    return _parentheses(inside).named(f"({feel.name} {what})", TEMPO)


def _parentheses(inside: Ink) -> Ink:
    size = TEMPO * 1.25
    drop = 0.02 * size
    left, right = (text(sign, "serif", size).shift(0.0, drop) for sign in "()")
    return join(left, inside, right, gap=45.0)


def _pair(beams: int) -> Ink:
    """Two beamed notes."""
    width = _width("Q")
    second = width + 0.9 * _SPACE
    marks: list[Mark] = [_head("Q", 0.0), _stem(width), _head("Q", second), _stem(second + width)]
    for place in range(beams):
        top = _LINE - _STEM + place * _BEAM * 1.55
        left, right = width - _WEIGHT, second + width
        marks.append(polygon([(left, top), (right, top), (right, top + _BEAM), (left, top + _BEAM)]))
    return ink(marks, second + width)


def _long_short(sixteenths: bool) -> Ink:
    """A quarter and an eighth (or an eighth and a 16th) under a triplet bracket."""
    long, short = note("E" if sixteenths else "Q"), note("S" if sixteenths else "E")
    apart = long.advance + (0.5 if sixteenths else 0.9) * _SPACE
    notes = lay(long, short.shift(apart), advance=apart + short.advance)
    top, tick, weight = _LINE - _STEM - 0.95 * _SPACE, 0.45 * _SPACE, 17.0
    left, right = 0.0, apart + short.advance
    number = text("3", "serif-bold", 0.62 * TEMPO)
    half = number.advance / 2
    middle = (left + right) / 2
    air = half + 25.0
    marks = (
        line(left + weight / 2, top + tick, left + weight / 2, top - weight / 2, weight),
        line(left, top, middle - air, top, weight),
        line(middle + air, top, right, top, weight),
        line(right - weight / 2, top + tick, right - weight / 2, top - weight / 2, weight),
    )
    assert number.box is not None
    drop = top + number.box.height / 2
    return lay(notes, ink(marks), number.shift(middle - half, drop), advance=right)
