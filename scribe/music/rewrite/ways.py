"""One way of writing into another: letters, degrees, frets. The sounding pitches stay."""

from __future__ import annotations

from collections.abc import Mapping

from scribe.diagnostics import Diagnostic, Span
from scribe.music.rewrite.bar import Form, Typed, Wanted
from scribe.music.rewrite.draft import Rewritten, Source, cannot, done, rewrite_source, walk
from scribe.music.rewrite.edit import Edit
from scribe.music.tuning import FRETS, places

Places = Mapping[
    tuple[int, Span], tuple[int, int]
]  # (bar's place in the draft, note's place in the bar): string, fret


def rewrite(
    text: str, form: Form, bars: tuple[int, int] | None = None, where: Places | None = None
) -> Rewritten:
    """Write a draft's notes as letters, degrees or frets; `bars` only (printed numbers, first and last).

    Letters: small where the key gives the name, else capitals. Frets: the string that a note is pinned to, else the
    place that `where` gives it, else the lowest one; pins and `=` go, a fret has no use for them. Other marks, chords,
    comments and blanks stay. A note that cannot be written so is a fault, and the text is left alone.
    """
    edits: list[Edit] = []
    faults: list[Diagnostic] = []
    changed = 0
    for source in walk(text).sources:
        if bars is not None and not bars[0] <= source.number <= bars[1]:
            continue
        if form == "fret" and not source.draught.in_force.instrument.fretted:
            name = source.draught.in_force.instrument.name
            faults.append(cannot(source, "no-strings", Span(0, len(source.text)), f"`{name}` has no frets"))
            break
        here, failed = _bar(source, form, where or {})
        edits += here
        faults += failed
        changed += bool(here)
    return done(text, edits, faults, changed)


def _bar(source: Source, form: Form, where: Places) -> tuple[list[Edit], list[Diagnostic]]:
    in_force = source.draught.in_force
    missing: list[Diagnostic] = []

    def wanted(typed: Typed) -> Wanted:
        head = typed.head
        if form != "fret":
            small = in_force.key.alteration(head.pitch.letter) == head.pitch.alter
            return Wanted(head.pitch, form, small)
        if head.string is not None and head.fret is not None:
            return Wanted(head.pitch, form, string=head.string, fret=head.fret)
        found = where.get((source.offset, head.span))
        if found is None:
            options = places(head.pitch.midi, in_force.tuning, FRETS)
            if not options:
                missing.append(cannot(source, "off-fretboard", head.span, f"{head.pitch} lies on no string"))
                return Wanted(head.pitch, "letter")
            found = options[0]
        return Wanted(head.pitch, form, string=found[0], fret=found[1])

    edits, faults = rewrite_source(source, in_force, source.roots, wanted)
    return edits, [*faults, *missing]
