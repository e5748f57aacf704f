"""One way of writing into another: letters, degrees, frets. The sounding pitches stay."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from scribe.diagnostics import Diagnostic, Span
from scribe.music.rewrite.bar import Form, Typed, Wanted
from scribe.music.rewrite.draft import Rewritten, Source, cannot, done, rewrite_source, walk
from scribe.music.rewrite.edit import Edit
from scribe.music.rewrite.habit import writes_small
from scribe.music.tuning import FRETS, places

Places = Mapping[
    tuple[int, Span], tuple[int, int]
]  # (bar's place in the draft, note's place in the bar): string, fret


def rewrite(
    text: str,
    form: Form,
    bars: tuple[int, int] | None = None,
    where: Places | None = None,
    pinned: Collection[tuple[int, Span]] = (),
) -> Rewritten:
    """Write a draft's notes as letters, degrees or frets; `bars` only (printed numbers, first and last).

    Letters: small where the key gives the name, else as the draft does it elsewhere: a small letter with a sign, or a
    capital. Frets: the string that a note is pinned to, else the place that `where` gives it, else the lowest one; a
    pin goes into the fret, `=` goes. Frets that become names keep their string as a pin if they are `pinned` (the
    bar's place in the draft, the note's in the bar). Other marks, chords, comments and blanks stay. A note that cannot
    be written so is a fault, and the text is left alone.
    """
    sources = walk(text).sources
    small = writes_small(sources)
    edits: list[Edit] = []
    faults: list[Diagnostic] = []
    changed = 0
    for source in sources:
        if bars is not None and not bars[0] <= source.number <= bars[1]:
            continue
        if form == "fret" and not source.draught.in_force.instrument.fretted:
            name = source.draught.in_force.instrument.name
            faults.append(cannot(source, "no-strings", Span(0, len(source.text)), f"`{name}` has no frets"))
            break
        here, failed = _bar(source, form, where or {}, pinned, small)
        edits += here
        faults += failed
        changed += bool(here)
    return done(text, edits, faults, changed)


def _bar(
    source: Source, form: Form, where: Places, pinned: Collection[tuple[int, Span]], signs: bool
) -> tuple[list[Edit], list[Diagnostic]]:
    in_force = source.draught.in_force
    missing: list[Diagnostic] = []
    # A degree says its name, so that `enharmonic fix` has no more say in it.
    names = source.names if form == "degree" and in_force.enharmonic == "fix" else {}

    def wanted(typed: Typed) -> Wanted:
        head = typed.head
        if form != "fret":
            small = signs or in_force.key.alteration(head.pitch.letter) == head.pitch.alter
            keep = typed.form == "fret" and (source.offset, head.span) in pinned
            pitch = names.get(head.span, head.pitch) if typed.form == "letter" else head.pitch
            return Wanted(pitch, form, small, pin=head.string or 0 if keep else 0)
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
