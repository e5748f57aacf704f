"""What music21 does not read in MusicXML: swing of playback, tunings, signs that repeat bars, long rests."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

from lxml import etree

from scribe.exchange.credits import credits_of_musicxml, drawn
from scribe.exchange.extras import Extras
from scribe.exchange.xmldynamics import LATE
from scribe.exchange.xmllost import lost_in
from scribe.exchange.xmltempo import tempo_words
from scribe.exchange.xmltext import staves, whole
from scribe.music.inforce import Feel
from scribe.music.pitch import Pitch
from scribe.music.tuning import Tuning, parse_tuning, risen

STRAIGHT = Feel()
STRINGS = "strings"  # the field in which our own files name a tuning as drafts do


def extras(root: etree._Element) -> Extras:
    """Return the extras of a partwise score."""
    feels: dict[int, Feel] = {}
    tunings: dict[int, Tuning] = {}
    repeats: dict[tuple[int, int], tuple[int, int]] = {}
    tempos = tempo_words(root)
    lost: dict[tuple[int, int], list[str]] = defaultdict(list)
    rests: dict[tuple[int, int], int] = {}
    late: dict[str, Fraction] = {}
    own = _own_tuning(root)
    head = drawn(root)
    first = 1
    for part in root.iterchildren("part"):
        numbers = range(first, first + staves(part))  # music21 makes a part of each staff
        first = numbers.stop
        run = Run()
        divisions = 1
        if own is not None:
            tunings.update(dict.fromkeys(numbers, own))
        for index, measure in enumerate(part.iterchildren("measure")):
            run = _run(measure, index, run)
            divisions = whole(measure.findtext("attributes/divisions")) or divisions
            late.update(_late(measure, divisions))
            if run.bars in (1, 2):
                place = (index - run.start) % 2 + 1 if run.bars == 2 else 0
                repeats.update({(number, index): (run.bars, place) for number in numbers})
            for staff, what in lost_in(measure):
                for number in _of_staff(numbers, staff):
                    lost[number, index].append(what)
            for sign in measure.iterfind("attributes/measure-style/multiple-rest"):
                rests.update(dict.fromkeys(((n, index) for n in numbers), whole(sign.text) or 1))
            for swing in measure.iter("swing"):
                feel = _feel(swing)
                if feel is not None:
                    feels.setdefault(index, feel)
            for details in measure.iter("staff-details"):
                tuning = _tuning(details)
                if tuning is not None:
                    for number in _of_staff(numbers, details.get("number") or ""):
                        tunings.setdefault(number, tuning)
        known = {tunings[number] for number in numbers if number in tunings}
        if len(known) == 1:  # the strings are named at the tablature under the notes
            tunings.update(dict.fromkeys(numbers, known.pop()))
    return Extras(
        feels=feels,
        tempo_words=tempos.beside,
        tempos=tempos.alone,
        tunings=tunings,
        repeats=repeats,
        rests=rests,
        late=late,
        lost=lost,
        credits=credits_of_musicxml(root),
        title=head.title,
        composer=head.composer,
    )


def _late(measure: etree._Element, divisions: int) -> Iterator[tuple[str, Fraction]]:
    """By the number that a hairpin was given: how long after the start of a note it begins."""
    for direction in measure.iterfind("direction"):
        wedge = direction.find("direction-type/wedge")
        number = "" if wedge is None or wedge.get("type") == "stop" else wedge.get("number") or ""
        if number.startswith(LATE):
            yield number, Fraction(whole(direction.findtext("offset")) or 0, divisions)


def _of_staff(numbers: range, staff: str) -> range:
    """The number of the part that music21 makes of a staff; all of them where no staff is named."""
    place = whole(staff)
    return numbers[place - 1 : place] if place is not None and 1 <= place <= len(numbers) else numbers


class Run(NamedTuple):
    """Repeat signs in a row: each for so many bars, from a measure on."""

    bars: int = 0
    start: int = 0


def _run(measure: etree._Element, index: int, before: Run) -> Run:
    """Return the run that a measure lies in (MusicXML 4.0: `stop` stands in the first measure without the sign)."""
    now = before
    for sign in measure.iterfind("attributes/measure-style/measure-repeat"):
        now = Run(whole(sign.text) or 0, index) if sign.get("type") == "start" else Run()
    return now


def _feel(swing: etree._Element) -> Feel | None:
    """MusicXML 4.0: `straight`, or `first`:`second` long to short, of eighths or 16ths."""
    if swing.find("straight") is not None:
        return STRAIGHT
    first, second = whole(swing.findtext("first")), whole(swing.findtext("second"))
    if first is None or second is None or not first >= second > 0 or first > 99:
        return None
    unit = "16" if (swing.findtext("swing-type") or "").strip() == "16th" else "8"
    return Feel("swing", unit, None if (first, second) == (2, 1) else (first, second))


def _own_tuning(root: etree._Element) -> Tuning | None:
    for field in root.iterfind("identification/miscellaneous/miscellaneous-field"):
        if field.get("name") == STRINGS:
            return parse_tuning(field.text or "")
    return None


def _tuning(details: etree._Element) -> Tuning | None:
    """Open strings from the lowest (line 1) up; None unless there are three to seven that rise."""
    strings: dict[int, Pitch] = {}
    for each in details.iterchildren("staff-tuning"):
        line = whole(each.get("line"))
        step = (each.findtext("tuning-step") or "").strip()
        alter = whole(each.findtext("tuning-alter")) or 0
        octave = whole(each.findtext("tuning-octave"))
        if (
            line is None
            or octave is None
            or step not in tuple("ABCDEFG")
            or abs(alter) > 1
            or not 0 <= octave <= 9
        ):
            return None
        strings[line] = Pitch(step, alter, octave)
    return risen([strings[line] for line in sorted(strings)])
