"""Bars once all of them are read: what repeat signs repeat, minor keys, slap."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from scribe.exchange.model import Bar, Event, Sign
from scribe.music.bar import SLAP_ENDS
from scribe.music.key import MODES, Key

JUMP = re.compile(
    r"d(?:\.? ?(?:(?P<s>s)|c)\.?|(?:al (?P<segno>segno)|a capo))(?:,? al? (?P<aim>coda|fine))?\.?",
    re.IGNORECASE,
)


def repeated(bars: Sequence[Bar], *, silent: bool = False) -> list[Bar]:
    """Say under every repeat sign what the bar says that it repeats; `silent`: only where nothing sounds under it.

    MusicXML has the notes of a repeated bar as a rule; some programs leave it empty under the sign.
    """
    out: list[Bar] = []
    for bar in bars:
        source = out[-bar.repeat] if 0 < bar.repeat <= len(out) else bar
        if silent and any(event.heads for event in bar.events):
            source = bar
        if source is not bar and bar.length == source.length:
            events = source.events
            if events and events[0].held and not _ties(out[-1].events, events[0]):
                events = (events[0]._replace(held=False), *events[1:])  # struck again after another note
            bar = replace(bar, events=events, printed=source.printed)
        out.append(bar)
    return out


def _ties(before: Sequence[Event], held: Event) -> bool:
    return bool(before) and [h.pitch for h in before[-1].heads] == [h.pitch for h in held.heads]


def minor_where_it_ends_so(bars: Sequence[Bar]) -> list[Bar]:
    """Take signatures without a mode as minor where their last note is the tonic of that."""
    out = list(bars)
    end = len(out)
    while end:
        start = end - 1
        while start and out[start - 1].key == out[end - 1].key:
            start -= 1
        heads = [e.heads[0] for bar in out[start:end] for e in bar.events if e.heads]
        signature = out[start].key.fifths
        if heads and heads[-1].pitch.fifths == signature + MODES["minor"]:
            minor = Key(heads[-1].pitch.letter, heads[-1].pitch.alter, "minor")
            out[start:end] = [replace(bar, key=minor) for bar in out[start:end]]
        end = start
    return out


def jumps_as_said(bars: Sequence[Bar]) -> list[Bar]:
    """Take `D.S. al Coda` and its like as directions where a draft's `'ds` prints just that: by the signs it has.

    "al Coda" where a coda stands in the piece, else "al Fine" where Fine does.
    """
    signs = {s.text for bar in bars for s in bar.signs if s.kind == "direction"}
    aim = "coda" if signs & {"coda", "tocoda"} else "fine" if "fine" in signs else ""
    out = []
    for bar in bars:
        said = tuple(_jump(s, aim) for s in bar.signs)
        out.append(bar if said == bar.signs else replace(bar, signs=said))
    return out


def _jump(sign: Sign, aim: str) -> Sign:
    found = JUMP.fullmatch(sign.text) if sign.kind == "text" else None
    if found is None or (found["aim"] or "").casefold() != aim:
        return sign
    return sign._replace(kind="direction", text="ds" if found["s"] or found["segno"] else "dc")


def slap_as_said(bars: Sequence[Bar]) -> list[Bar]:
    """Leave `slap` a direction only where every note under it is thumbed or popped; elsewhere it is a word.

    The direction of a draft thumbs every note that has no mark of its own.
    """
    out = list(bars)
    for index, bar in enumerate(bars):
        for sign in bar.signs:
            if (sign.kind, sign.text) == ("direction", "slap") and not _all_slapped(bars, index, sign.onset):
                signs = tuple(s._replace(kind="text") if s == sign else s for s in out[index].signs)
                out[index] = replace(out[index], signs=signs)
    return out


def _all_slapped(bars: Sequence[Bar], index: int, onset: Fraction) -> bool:
    for bar in bars[index:]:
        if bar.repeat:
            continue  # it says what another bar says, whatever is in force
        ends = [
            s.onset for s in bar.signs if s.text in SLAP_ENDS and (bar is not bars[index] or s.onset > onset)
        ]
        for event in bar.events:
            here = bar is not bars[index] or event.onset >= onset
            struck = event.heads and not event.held and event.connector in ("", "slur")
            under = here and struck and not (ends and event.onset >= min(ends))
            if under and not {"thumb", "popped"} & set(event.marks):
                return False
        if ends:
            return True
    return True
