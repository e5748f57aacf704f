"""What scribe writes into the `.editorial` of music21 objects. All of it survives a deep copy.

| name | on | value |
| --- | --- | --- |
| `scribeSpan` | every object | (start, end): its place in the draft, in characters |
| `scribeKind` | notes | `dead` or `unheard`, where the pitch is only a place on the staff |
| `scribeDoubtful` | notes, chord symbols | True where the writer put `?` |
| `scribeMeant` | notes | True where the writer put `=` |
| `scribeTodo`, `scribeBroken` | measures, rests | True where the draft is still to do, or holds an error |
| `scribeRepeat` | measures | 1 for `%`, 2 for `%%`: written out here, a repeat sign on the page |
| `scribeTime` | measures | seconds into the recording, a fraction as text |
| `scribeName` | chord symbols | the name as typed |
| `scribeBar` | measures | the id of the bar |
"""

from __future__ import annotations

from typing import TypeVar

from music21.base import Music21Object

from scribe.diagnostics import Span

DOUBT = "#b3400e"  # the second colour of the page: doubts, and what is still to do

AnyObject = TypeVar("AnyObject", bound=Music21Object)


def at(thing: AnyObject, span: Span, **more: object) -> AnyObject:
    """Give an object its place in the draft, and any other remark; return the same object."""
    thing.editorial["scribeSpan"] = (span.start, span.end)
    for name, value in more.items():
        thing.editorial[name] = value
    return thing


def in_doubt(thing: AnyObject) -> AnyObject:
    """Colour an object as doubtful and say so; return the same object."""
    thing.style.color = DOUBT
    thing.editorial["scribeDoubtful"] = True
    return thing
