"""Short ways to say a bar in the notate tests."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from scribe.music.events import Cell
from scribe.music.metre import Metre, parse_metre
from scribe.music.notate import DEFAULT, Stretch, Style, notate_spans
from scribe.music.written import WrittenBar


def metre(text: str) -> Metre:
    """Read a metre that must be one."""
    found = parse_metre(text)
    assert found is not None
    return found


def stretches(text: str) -> list[Stretch]:
    """Read `0:1.5 r1.5:1 2.5:1.5` (onset:length, `r` a rest) and `8*1/2` (so many in a row)."""
    found: list[Stretch] = []
    for word in text.split():
        rest = word.startswith("r")
        word = word.removeprefix("r")
        at = found[-1].onset + found[-1].length if found else Fraction(0)
        if "*" in word:
            count, _, length = word.partition("*")
        else:
            onset, _, length = word.partition(":")
            count = "1"
            assert Fraction(onset) == at, f"{word} does not begin at {at}"
        for _ in range(int(count)):
            found.append(Stretch(at, Fraction(length), rest))
            at += Fraction(length)
    return found


def cells(text: str) -> list[Cell]:
    """Read `1:1 2:3 1:1`: words in order, each length:slots."""
    found: list[Cell] = []
    at = Fraction(0)
    for word in text.split():
        length, _, slots = word.partition(":")
        found.append(Cell(at, Fraction(length), int(slots)))
        at += Fraction(length)
    return found


def words(text: str, lengths: Iterable[Fraction]) -> tuple[list[Stretch], list[Cell]]:
    """Read beat words as the shorthand writes them: any letter a note, `-` a hold, `.` a silence."""
    found: list[Stretch] = []
    divided: list[Cell] = []
    at = Fraction(0)
    for word, length in zip(text.split(), lengths, strict=True):
        divided.append(Cell(at, length, len(word)))
        for slot in word:
            share = length / len(word)
            if slot == "-" and found:
                found[-1] = found[-1]._replace(length=found[-1].length + share)
            else:
                found.append(Stretch(at, share, slot == "."))
            at += share
    return found, divided


def bar(text: str, events: str, divided: str = "", style: Style = DEFAULT) -> WrittenBar:
    """Notate a full bar given as events."""
    m = metre(text)
    return notate_spans(m, m.length, stretches(events), cells(divided), style=style)


def typed(text: str, line: str, *lengths: str) -> WrittenBar:
    """Notate a full bar given as beat words of equal (or the given) lengths."""
    m = metre(text)
    number = len(line.split())
    shares = [Fraction(each) for each in lengths] or [m.length / number] * number
    return notate_spans(m, m.length, *words(line, shares))


def tight(code: str) -> str:
    """Codes without blanks: the published tables set them freely."""
    return code.replace(" ", "")
