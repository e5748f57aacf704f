"""Bars joined to systems and to a document for Verovio: barlines, changes of key and metre, ties and slurs."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

from scribe.engrave.mei.bar import BarMei
from scribe.engrave.mei.lines import Line
from scribe.engrave.mei.transpose import CLEFS
from scribe.music.inforce import InForce
from scribe.music.instrument import Instrument, written_interval, written_key
from scribe.music.key import Key
from scribe.music.piece import Bar

_RIGHT = {
    "double": "dbl",
    "repeat end": "rptend",
    "repeat both": "rptboth",
    "final": "end",
    "invisible": "invis",
}

_CLOSING = ("ds", "dc", "fine")  # signs that stand at a double barline (common practice)


class SystemMei(NamedTuple):
    """A system's bars as MEI, and what must be in force before it.

    `body` holds the measures with the changes between them. `shows_metre`: the time signature is printed at its
    start. `after`: a change right after its end, to be announced there (an MEI scoreDef), or empty.
    """

    head: InForce
    shows_metre: bool
    body: str
    after: str


def write_system(
    bars: Sequence[Bar],
    meis: Sequence[BarMei],
    lines: Sequence[Line],
    start: int,
    end: int,
) -> SystemMei:
    """Return bars `start` … `end` (exclusive) of the piece as one system.

    `lines` are the piece's ties, slurs and slides; those that begin and end in this system are given to Verovio.
    """
    inside: dict[int, list[Line]] = {}
    for line in lines:
        if start <= line.start_bar and line.end_bar < end and line.kind in ("tie", "slur") and line.start:
            inside.setdefault(line.start_bar, []).append(line)
    out: list[str] = []
    for index in range(start, end):
        bar = bars[index]
        if index > start:
            out.append(change(bars[index - 1], bar))
        out.append(
            measure(
                bar,
                meis[index],
                inside.get(index, ()),
                first=index == start or bars[index - 1].right != "repeat both",
                last=index == end - 1,
                pushed=index > start and meis[index - 1].pushes,
            )
        )
    after = change(bars[end - 1], bars[end]) if end < len(bars) else ""
    first = bars[start]
    shows = start == 0 or first.new_metre
    return SystemMei(first.in_force, shows, "".join(out), after)


def measure(
    bar: Bar,
    mei: BarMei,
    lines: Sequence[Line],
    *,
    first: bool = False,
    last: bool = False,
    pushed: bool = False,
) -> str:
    """Return the bar's `<measure>`. `first`: its left barline is its own; `last`: it ends its system; `pushed`: the
    bar before has a chord symbol that needs the room up to this bar's first one.
    """
    attributes = barlines(bar, first=first, last=last)
    if bar.in_force.length is not None:
        attributes += ' metcon="false"'
    control = "".join(
        f'<{line.kind} xml:id="{line.id}" startid="#{line.start}" endid="#{line.end}"/>' for line in lines
    ) + "".join(f'<fermata startid="#{id}"/>' for id in mei.notes.fermatas)
    push = mei.first if pushed else ""
    return f'<measure xml:id="{bar.id}" n="{bar.number}"{attributes}>{mei.staff}{push}{control}</measure>'


def barlines(bar: Bar, *, first: bool = True, last: bool = False) -> str:
    """Return the attributes of a measure's barlines.

    `first`: the left barline is its own, not the right half of a double repeat; `last`: the bar ends its system, and
    the left half of a double repeat is all there is.
    """
    left = ' left="rptstart"' if bar.left == "repeat start" and first else ""
    right = _RIGHT.get(bar.right, "")
    if bar.right == "single" and any(
        word.kind == "direction" and word.text in _CLOSING for word in bar.music.words
    ):
        right = "dbl"
    if right == "rptboth" and last:
        right = "rptend"
    return left + (f' right="{right}"' if right else "")


def change(before: Bar, bar: Bar) -> str:
    """Return the scoreDef for what changes between two bars, empty if nothing does."""
    attributes = ""
    old, new = before.in_force, bar.in_force
    if bar.new_key or _signature(old.key, old.instrument) != _signature(new.key, new.instrument):
        attributes += f' keysig="{_signature(new.key, new.instrument)}" key.mode="{new.key.mode}"'
    if bar.new_metre or (old.metre.count, old.metre.unit) != (new.metre.count, new.metre.unit):
        attributes += f' meter.count="{new.metre.count}" meter.unit="{new.metre.unit}"'
    clef = ""
    if old.instrument.clef != new.instrument.clef:
        shape, line = CLEFS[new.instrument.clef]
        clef = f'<staffGrp><staffDef n="1" clef.shape="{shape}" clef.line="{line}"/></staffGrp>'
    return f"<scoreDef{attributes}>{clef}</scoreDef>" if attributes or clef else ""


def write_document(systems: Sequence[SystemMei]) -> str:
    """Return an MEI document from which Verovio draws these systems, with one before and perhaps one behind them.

    Verovio spaces the first system of a document otherwise than the rest, so an empty one goes before; and a change
    at the last one's end is announced only if something follows. Neither is to be shown: their bars' ids begin with
    NOTHING.
    """
    first = systems[0]
    out = [_head(first.head), "<sb/>", _nothing("before")]
    if first.shows_metre:
        metre = first.head.metre
        out.append(f'<scoreDef meter.count="{metre.count}" meter.unit="{metre.unit}"/>')
    for number, system in enumerate(systems):
        if number:
            out.append(systems[number - 1].after)
        out.append("<sb/>")
        out.append(system.body)
    if systems[-1].after:
        out.append(f"{systems[-1].after}<sb/>{_nothing('behind')}")
    out.append(_END)
    return "".join(out)


NOTHING = "nothing."


def _nothing(where: str) -> str:
    return f'<measure xml:id="{NOTHING}{where}" n="0"><staff n="1"><layer n="1"><mSpace/></layer></staff></measure>'


_END = "</section></score></mdiv></body></music></mei>"


@lru_cache(maxsize=256)
def _head(force: InForce) -> str:
    """The document's start up to its first measure: header, clef, key, metre."""
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n<mei xmlns="http://www.music-encoding.org/ns/mei" meiversion="5.0">'
        "<meiHead><fileDesc><titleStmt><title/></titleStmt><pubStmt/></fileDesc></meiHead>"
        f"<music><body><mdiv><score>{score_def(force)}<section>"
    )


def score_def(force: InForce, inside: str = "") -> str:
    """Return the scoreDef of a one-staff part: key, metre, clef, transposition. `inside`: what its staffDef holds."""
    shape, line = CLEFS[force.instrument.clef]
    instrument = force.instrument
    sounds = -written_interval(instrument, force.key)
    moved = f' trans.diat="{sounds.steps}" trans.semi="{sounds.semitones}"' if instrument.chromatic else ""
    return (
        f'<scoreDef keysig="{_signature(force.key, instrument)}" key.mode="{force.key.mode}"'
        f' meter.count="{force.metre.count}" meter.unit="{force.metre.unit}">'
        f'<staffGrp><staffDef n="1" lines="5" clef.shape="{shape}" clef.line="{line}"{moved}'
        f"{f'>{inside}</staffDef>' if inside else '/>'}</staffGrp></scoreDef>"
    )


@lru_cache(maxsize=256)
def _signature(key: Key, instrument: Instrument) -> str:
    fifths = written_key(key, instrument).fifths
    return "0" if fifths == 0 else f"{abs(fifths)}{'s' if fifths > 0 else 'f'}"
