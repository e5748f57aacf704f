"""`use`: the bars of a section again, transposed and named anew for the key in force."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from scribe.diagnostics import Diagnostic, Hint
from scribe.music.chord import move_chord_text, parse_chord
from scribe.music.draught import Draught, Edge
from scribe.music.events import Event, Head, PlacedChord, Way
from scribe.music.inforce import InForce
from scribe.music.interval import Interval, move
from scribe.music.key import Key
from scribe.music.roadmap import SIGNS
from scribe.music.settings import Use, parse_use
from scribe.source.tree import Directive


def used_bars(
    line: Directive, sections: Mapping[str, Sequence[Draught]], in_force: InForce
) -> list[tuple[Draught, Draught]] | Diagnostic:
    """Return pairs (the bar as it stands in its section, its copy for here), or what is wrong with the line."""
    use = parse_use(line.text)
    if use is None:
        return Diagnostic(
            "bad-value",
            "error",
            line.value_span,
            f"`{line.text}` is no value for `use`, expected a section, and an interval or bars",
            (Hint("for example `use A up P4` or `use A bars 3-4`"),),
        )
    if use.section not in sections:
        from scribe.source.slips_values import used_twice

        often = used_twice(line.text, "no-such-section")
        once = parse_use(line.text[: often.span.start]) if often else None
        if often and once and once.section in sections:
            return often.shift(line.value_span.start)
        known = ", ".join(f"`{s}`" for s in sections) or "none yet"
        return Diagnostic(
            "no-such-section",
            "error",
            line.value_span,
            f"no section `{use.section}` stands before this line (known: {known})",
            (Hint(f"mark the section where it is written: `[{use.section}]` at the start of its line"),),
        )
    bars = list(sections[use.section])
    if not bars:
        return Diagnostic(
            "no-such-section",
            "error",
            line.value_span,
            f"section `{use.section}` has no bars yet: it cannot use itself",
            (Hint("write its bars first"),),
        )
    first, last = use.bars or (1, len(bars))
    if last > len(bars):
        return Diagnostic(
            "no-such-section",
            "error",
            line.value_span,
            f"section `{use.section}` has {len(bars)} bars so far, not {last}",
            (Hint(f"the last bar to use is {len(bars)}"),),
        )
    return [(bar, _copy(bar, use, in_force)) for bar in bars[first - 1 : last]]


def _copy(bar: Draught, use: Use, in_force: InForce) -> Draught:
    edge = Edge(None, None) if use.bars else bar.edge
    copy = replace(
        bar,
        edge=edge,
        section="",
        time=None,
        ending=() if use.bars else bar.ending,
        copied=True,
        in_force=in_force._replace(
            metre=bar.in_force.metre, length=bar.in_force.length, pickup=bar.in_force.pickup
        ),
    )
    # Its remarks were made where it is written; here they would be said twice.
    # Signs of the form mark one place each: a second segno would leave open where a D.S. leads.
    words = tuple(word for word in copy.music.words if word.kind != "direction" or word.text not in SIGNS)
    music = replace(copy.music, diagnostics=(), words=words)
    if use.interval is not None:
        events = tuple(_moved(e, use.interval) for e in copy.events)
        chords = tuple(_moved_chord(c, use.interval, in_force.key) for c in music.chords)
        music = replace(music, events=tuple(_moved(e, use.interval) for e in music.events), chords=chords)
        copy.events = events
    copy.music = music
    return copy


def _moved(event: Event, interval: Interval) -> Event:
    graces = tuple(replace(g, head=_moved_head(g.head, interval)) for g in event.graces)
    return replace(event, heads=tuple(_moved_head(h, interval) for h in event.heads), graces=graces)


def _moved_head(head: Head, interval: Interval) -> Head:
    # String and fret belong to the place where the line was played first. The name is found anew, unless it was meant.
    way: Way = head.way if head.meant else "none"
    return replace(head, pitch=move(head.pitch, interval), string=None, fret=None, way=way)


def _moved_chord(placed: PlacedChord, interval: Interval, key: Key) -> PlacedChord:
    if placed.chord is None:
        return placed
    text = move_chord_text(placed.name, interval, key)
    return replace(placed, name=text, chord=parse_chord(text))
