"""The spelling pass over drafted bars: names for what came without one, doubts about what was typed.

Nothing is changed in place: bars that get other names or remarks come back as new ones, all others as they are.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import NamedTuple

from scribe.diagnostics import Diagnostic
from scribe.music.draught import Draught
from scribe.music.events import Event, Head
from scribe.music.name import with_name
from scribe.music.passes import led_from
from scribe.music.pitch import Pitch, name_at
from scribe.music.spelling.check import Doubt
from scribe.music.spelling.phrases import Place, heads_of, heard_bars, names_of, sounds
from scribe.music.spelling.played import Played
from scribe.music.spelling.words import doubted, wrong_keys


class Spelled(NamedTuple):
    """What the pass found out about one bar: the pitches of all its heads (None: as they are), and remarks."""

    pitches: tuple[Pitch, ...] | None = None
    remarks: tuple[Diagnostic, ...] = ()


AS_IT_IS = Spelled()


def spelled(bars: Sequence[Draught]) -> list[Spelled]:
    """Return what the spelling of the whole draft says of each bar."""
    pitches: dict[Place, Pitch] = {}
    remarks: dict[int, list[Diagnostic]] = {}
    known = heard_bars(bars)
    if any(heard.asks for heard in known):
        played = Played(bars, known)
        for indices in played.phrases:
            if any(known[i].asks for i in indices):
                _phrase(bars, played, indices, pitches, remarks)
    for index, remark in wrong_keys(bars, known):
        remarks.setdefault(index, []).append(remark)
    if not pitches and not remarks:
        return [AS_IT_IS] * len(bars)
    return _gather(bars, pitches, remarks)


def respelled(bar: Draught, spelling: Spelled) -> Draught:
    """Return a bar with its names and remarks."""
    if spelling == AS_IT_IS:
        return bar
    music, events = bar.music, bar.events
    if spelling.pitches is not None:
        events = renamed(bar.events, spelling.pitches)
        music = replace(music, events=events if music.events == bar.events else music.events)
    if spelling.remarks:
        music = replace(music, diagnostics=(*music.diagnostics, *spelling.remarks))
    return replace(bar, events=events, music=music)


def renamed(events: Sequence[Event], pitches: Sequence[Pitch]) -> tuple[Event, ...]:
    """Return the events with other pitches for their heads, one for each in order, graces before their note."""
    following = iter(pitches)
    done: list[Event] = []
    for event in events:
        graces = tuple(replace(g, head=_named(g.head, next(following))) for g in event.graces)
        heads = [_named(h, next(following)) for h in event.heads]
        heads.sort(key=lambda h: (h.pitch.midi, h.pitch.staff))
        done.append(replace(event, heads=tuple(heads), graces=graces))
    return tuple(done)


def _named(head: Head, pitch: Pitch) -> Head:
    return head if head.pitch == pitch else replace(head, pitch=pitch)


def doubts(bars: Sequence[Draught]) -> Iterator[tuple[int, Head, Doubt]]:
    """Yield all doubts about typed names, with the bar (by index) and the head that they are about."""
    known = heard_bars(bars)
    played = Played(bars, known)
    for indices in played.phrases:
        if any(known[i].asks for i in indices):
            heard = sounds(bars, indices)
            for doubt in played.doubts(indices, heard, names_of(heard)):
                yield heard[doubt.at].place.bar, heard[doubt.at].head, doubt


def _phrase(
    bars: Sequence[Draught],
    played: Played,
    indices: Sequence[int],
    pitches: dict[Place, Pitch],
    remarks: dict[int, list[Diagnostic]],
) -> None:
    """Name and check one phrase."""
    heard = sounds(bars, indices)
    names = names_of(heard)
    for sound, place in zip(heard, names, strict=True):
        if sound.note.name is None:
            pitches[sound.place] = with_name(sound.note.midi, *name_at(place))
    for doubt in played.doubts(indices, heard, names):
        sound = heard[doubt.at]
        if sound.in_force.enharmonic == "fix":
            pitches[sound.place] = with_name(sound.note.midi, *name_at(doubt.better))
        elif not bars[sound.place.bar].copied:
            said = doubted(bars[sound.place.bar], sound.head, doubt)
            if said is not None:
                remarks.setdefault(sound.place.bar, []).append(said)


def _gather(
    bars: Sequence[Draught], pitches: dict[Place, Pitch], remarks: dict[int, list[Diagnostic]]
) -> list[Spelled]:
    """Put what was found together bar by bar; holds and repeat signs take the names that they go on with."""
    touched = {place.bar for place in pitches}
    done: list[Spelled] = []
    plain: tuple[Pitch, ...] | None = None  # of the last bar that is no repeat sign
    led = led_from(bars)
    for index, bar in enumerate(bars):
        if bar.repeat:
            own = [h for event in bar.events for h in heads_of(event)]
            source = plain if bar.repeat == 1 else done[index - 2].pitches
            names = source if source is not None and len(source) == len(own) else None
            done.append(Spelled(names))
            continue
        said = tuple(remarks.get(index, ()))
        held = bool(bar.events) and bar.events[0].held
        if index not in touched and not held:
            plain = None
            done.append(Spelled(None, said) if said else AS_IT_IS)
            continue
        before = led.get(index, index - 1)
        last = (
            {pitch.midi: pitch for pitch in _names(bars[before], done[before])}
            if held and before >= 0
            else {}
        )
        own = [h for event in bar.events for h in heads_of(event)]
        named: list[Pitch] = []
        number = 0
        for event in bar.events:
            for head in heads_of(event):
                pitch = pitches.get(Place(index, number), head.pitch)
                if event.held and head.kind == "note":
                    pitch = last.get(pitch.midi, pitch)
                named.append(pitch)
                number += 1
        changed = any(h.pitch != pitch for h, pitch in zip(own, named, strict=True))
        plain = tuple(named) if changed else None
        done.append(Spelled(plain, said))
    return done


def _names(bar: Draught, spelling: Spelled) -> Sequence[Pitch]:
    """The names of a bar's heads."""
    if spelling.pitches is not None:
        return spelling.pitches
    return [h.pitch for event in bar.events for h in heads_of(event)]
