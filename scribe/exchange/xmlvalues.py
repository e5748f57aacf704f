"""Written values of MusicXML where they are finer than its count of divisions: a septuplet in 480ths, made exact.

A program that counts a quarter in 480ths can only round the seventh of a half note (137 instead of 137 1/7). The value
that it prints (`<type>`, `<dot>`, `<time-modification>`) says what is meant.
"""

from __future__ import annotations

from fractions import Fraction
from math import lcm

from lxml import etree

from scribe.exchange.xmltext import whole

# MusicXML 4.0, type `note-type-value`, in quarters.
TYPES = {
    "breve": Fraction(8),
    "whole": Fraction(4),
    "half": Fraction(2),
    "quarter": Fraction(1),
    "eighth": Fraction(1, 2),
    "16th": Fraction(1, 4),
    "32nd": Fraction(1, 8),
    "64th": Fraction(1, 16),
    "128th": Fraction(1, 32),
    "256th": Fraction(1, 64),
}
FINEST = 10_000_000  # divisions of a quarter; more are not written
NEAR = 4  # divisions, by which a way back over rounded notes may miss where it leads
FEWEST = 16 * NEAR  # divisions of a quarter; where there are fewer, a way leads exactly where it says
MOVING = ("note", "backup", "forward")


def exact_values(root: etree._Element) -> None:
    """Change the durations of a partwise score, part by part, so that rounded ones are what is printed."""
    for part in root.iterchildren("part"):
        found = _exact(part)
        if found:
            _write(part, found)


def _written_value(note: etree._Element) -> Fraction | None:
    """Return the printed value of a note in quarters; None where none is printed, or one of another kind."""
    size = TYPES.get((note.findtext("type") or "").strip())
    if size is None:
        return None
    size *= 2 - Fraction(1, 2 ** len(note.findall("dot")))
    actual, normal = (
        note.findtext(f"time-modification/{name}-notes") or "1" for name in ("actual", "normal")
    )
    if not (actual.strip().isdecimal() and normal.strip().isdecimal() and int(actual) and int(normal)):
        return None
    return size * int(normal) / int(actual)


def _exact(part: etree._Element) -> dict[etree._Element, Fraction]:
    """Every duration and offset in exact quarters; empty where nothing was rounded."""
    found: dict[etree._Element, Fraction] = {}
    divisions = 1
    rounded = False
    for measure in part.iterchildren("measure"):
        said, at = 0, Fraction(0)  # the place in the bar, as counted and exact
        places = {0: Fraction(0)}
        for each in measure:
            if each.tag == "attributes":
                divisions = max(whole(each.findtext("divisions")) or divisions, 1)
            for offset in each.iter("offset", "duration"):
                if (
                    offset.getparent() is not each or each.tag not in MOVING
                ):  # of directions, harmonies, figures
                    found[offset] = Fraction(whole(offset.text) or 0, divisions)
            length = each.find("duration")
            count = whole(length.text) if length is not None else None
            if each.tag not in MOVING or length is None or count is None:
                continue
            size = Fraction(count, divisions)
            if each.tag == "note":
                written = _written_value(each)
                if written is not None and size != written and _is_rounded(written * divisions, count):
                    size, rounded = written, True
                found[length] = size
                if each.find("chord") is not None:
                    continue
                said, at = said + count, at + size
            else:
                said += -count if each.tag == "backup" else count
                goal = _near(places, said, divisions)
                found[length] = abs(goal - at)
                at = goal
            places[said] = at
    return found if rounded else {}


def _is_rounded(exact: Fraction, count: int) -> bool:
    """Whether a count of divisions stands for a length that cannot be counted so.

    Rounding misses by less than one; the last note of a tuplet may make up for all the others.
    """
    return exact.denominator > 1 and abs(exact - count) < max(Fraction(1), exact / 5)


def _near(places: dict[int, Fraction], said: int, divisions: int) -> Fraction:
    """The exact place that a counted one stands for: one where something begins or ends, if it is near."""
    closest = min(places, key=lambda place: abs(place - said))
    if abs(closest - said) <= (NEAR if divisions >= FEWEST else 0):
        return places[closest]
    return max(Fraction(said, divisions), Fraction(0))


def _write(part: etree._Element, found: dict[etree._Element, Fraction]) -> None:
    parts = lcm(*(size.denominator for size in found.values()))
    first = next(part.iterfind("measure"))
    divisions = list(part.iterfind("measure/attributes/divisions"))
    if parts > FINEST or first.find("attributes/divisions") is None:
        return
    for each in divisions:
        each.text = str(parts)
    for each, size in found.items():
        each.text = str(int(size * parts))
