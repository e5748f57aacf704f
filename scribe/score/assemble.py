"""A piece as a music21 score: the bars built, joined, dressed and put in order."""

from __future__ import annotations

from fractions import Fraction

from music21 import metadata, note, spanner, stream

from scribe.music.inforce import InForce
from scribe.music.passes import later_ending
from scribe.music.piece import Bar, Heading, Piece
from scribe.score.connect import join, tied_in, wedges
from scribe.score.form import draw_barlines, dress, endings, player, reading
from scribe.score.label import at
from scribe.score.measure import Form, Level, Link, build_measure, multi_rest


def build(piece: Piece) -> stream.Score:
    """Return the piece as a score of one part.

    Notes stand at written pitch and the part says so: `score.parts[0].toSoundingPitch()` gives the pitches of
    the draft, and MusicXML export writes `<transpose>` (an octave down for the bass). Offsets and values are
    the printed ones; swing is in words. `%` bars are written out, `rest N` is N measures. Every object has
    its place in the draft in `.editorial` (see `scribe.score.label`); directives have that of the bar
    where they begin to count.
    """
    part = stream.Part()
    part.partName = piece.bars[0].in_force.instrument.name if piece.bars else ""
    part.atSoundingPitch = False
    form = _form(piece.bars)
    links: list[Link] = []
    levels: list[Level] = []
    spanners: list[spanner.Spanner] = []
    measures: list[list[stream.Measure]] = []
    before: InForce | None = None
    last_bar: Bar | None = None
    offset = Fraction(0)
    for bar in piece.bars:
        if bar.rests:
            row, sign = multi_rest(bar, bar.offset)
            spanners += [sign] if sign is not None else []
            links.append(Link((), "", False, bar.span))
        else:
            built = build_measure(bar, offset=bar.offset, form=form)
            row = [built.measure]
            if bar.tied and later_ending(last_bar, bar):
                links += [tied_in(built.links[0]), *built.links[1:]]
            else:
                links += built.links
            levels += built.levels
        if before is None or reading(before) != reading(bar.in_force):
            part.insert(offset, player(bar.in_force, bar.span))
        dress(row[0], bar, before, bar.span)
        draw_barlines(row[0], row[-1], bar, bar.span)
        for measure in row:
            part.insert(offset, measure)
            offset += bar.music.length
        measures.append(row)
        before, last_bar = bar.in_force, bar
    last = part.recurse().getElementsByClass(note.GeneralNote).last() if levels else None
    spanners += [*join(links), *wedges(levels, last), *endings(piece.bars, measures)]
    for each in spanners:
        part.insert(0, each)
    score = stream.Score()
    if piece.bars:
        whole = piece.bars[0].span.cover(piece.bars[-1].span)
        at(part, whole)
        at(score, whole)
    score.insert(0, _metadata(piece.heading))
    score.insert(0, part)
    return score


def _form(bars: tuple[Bar, ...]) -> Form:
    said = {word.text for bar in bars for word in bar.music.words if word.kind == "direction"}
    return Form(coda="tocoda" in said or "coda" in said, fine="fine" in said)


def _metadata(heading: Heading) -> metadata.Metadata:
    made = metadata.Metadata()
    if heading.title:
        made.title = heading.title
    if heading.composer:
        made.composer = heading.composer
    if heading.player:
        made.addContributor(metadata.Contributor(name=heading.player, role="performer"))
    if heading.recording:
        made.addCustom("recording", heading.recording)
    return made
