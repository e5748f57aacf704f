"""How long a bar is, said in a draft: its metre, `pickup` or `short`, a metre of its own, or silence to fill it up."""

from __future__ import annotations

from copy import copy
from dataclasses import replace
from fractions import Fraction
from typing import NamedTuple

from scribe.exchange.model import Bar, Event
from scribe.exchange.pitchtext import beats_text
from scribe.exchange.values import metre_for
from scribe.music.context import Context
from scribe.music.metre import Metre
from scribe.source.read import read_line
from scribe.source.tree import Directive


class Fitted(NamedTuple):
    """A bar whose length can be said.

    `metre`: the one it needs; `directive`, `value`: `pickup` or `short`, or empty; `said`: what that costs, in words.
    """

    bar: Bar
    metre: Metre
    directive: str
    value: str
    said: str


def fit(bar: Bar, context: Context) -> Fitted:
    """Find a way to say how long a bar is; where there is none, fill it up with silence to the next length that has."""
    metre, unit = bar.metre, bar.metre.unit_length
    for step in (Fraction(0), unit / 8, unit / 4, unit / 2, unit):
        length = bar.length if not step else -(-bar.length // step) * step
        filled = bar if length == bar.length else _filled(bar, length)
        said = "" if length == bar.length else f"a bar of {bar.length} quarters, filled up with silence"
        if length == metre.length:
            return Fitted(filled, metre, "", "", said)
        if length < metre.length:
            text = beats_text(length, metre.beat_lengths, at_end=bar.pickup)
            for name in ("pickup", "short") if bar.pickup else ("short", "pickup"):
                if text is not None and _taken(context, metre, name, text):
                    return Fitted(replace(filled, pickup=name == "pickup"), metre, name, text, said)
        other = metre_for(length, metre)
        if other is not None:
            said = said or f"a bar of {length} quarters in {metre}, written as {other}"
            return Fitted(filled, other, "", "", said)
    return Fitted(_to_do(bar), metre, "", "", f"a bar of {bar.length} quarters in {metre}")


def _taken(context: Context, metre: Metre, name: str, value: str) -> bool:
    """Whether the language takes this length in this metre."""
    tried = copy(context)
    for directive in (f"time {metre}", f"{name} {value}"):
        read, _ = read_line(directive)
        if not isinstance(read, Directive) or tried.apply(read) is not None:
            return False
    return True


def _to_do(bar: Bar) -> Bar:
    """A bar whose length cannot be said at all: to do, in its metre."""
    event = Event(Fraction(0), bar.metre.length, todo=True)
    notes = sum(1 for each in bar.events if each.heads)
    unsaid = (*bar.unsaid, f"{notes} notes")
    return replace(bar, length=bar.metre.length, events=(event,), symbols=(), signs=(), unsaid=unsaid)


def _filled(bar: Bar, length: Fraction) -> Bar:
    """A bar made longer with silence: before it if it is a pickup, else behind it."""
    more = length - bar.length
    shift = more if bar.pickup else Fraction(0)
    events = [event._replace(onset=event.onset + shift) for event in bar.events]
    if shift:
        events = [Event(Fraction(0), more), *events]
        if len(events) > 1 and not events[1].heads and not events[1].todo:
            events[:2] = [Event(Fraction(0), more + events[1].length)]
    elif events and not events[-1].heads and not events[-1].todo:
        events[-1] = events[-1]._replace(length=events[-1].length + more)
    else:
        events.append(Event(bar.length, more))
    return replace(
        bar,
        length=length,
        events=tuple(events),
        symbols=tuple(s._replace(onset=s.onset + shift) for s in bar.symbols),
        signs=tuple(s._replace(onset=s.onset + shift) for s in bar.signs),
    )
