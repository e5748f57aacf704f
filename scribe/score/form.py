"""What stands around the notes of a bar: clef, key, metre, tempo, feel, sections, barlines, endings."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from music21 import bar as barlines
from music21 import clef, expressions, instrument, meter, spanner, stream
from music21.stream.enums import ShowNumber

from scribe.diagnostics import Span
from scribe.music.inforce import InForce
from scribe.music.instrument import written_interval, written_key
from scribe.music.interval import Interval
from scribe.music.metre import Metre
from scribe.music.piece import Bar
from scribe.score.label import at
from scribe.score.pitches import m21_key, to_sounding
from scribe.score.words import feel_text, tempo_mark

CLEFS: dict[str, Callable[[], clef.Clef]] = {
    "bass": clef.BassClef, "treble": clef.TrebleClef, "tenor": clef.TenorClef, "alto": clef.AltoClef,
}  # fmt: skip
PLAYERS: dict[str, Callable[[], instrument.Instrument]] = {
    "bass": instrument.ElectricBass, "double bass": instrument.Contrabass,
    "guitar": instrument.ElectricGuitar, "piano": instrument.Piano,
    "electric piano": instrument.ElectricPiano, "organ": instrument.Organ,
    "voice": instrument.Vocalist, "male voice": instrument.Vocalist,
    "soprano sax": instrument.SopranoSaxophone, "alto sax": instrument.AltoSaxophone,
    "tenor sax": instrument.TenorSaxophone, "baritone sax": instrument.BaritoneSaxophone,
    "oboe": instrument.Oboe, "bassoon": instrument.Bassoon, "bass trombone": instrument.BassTrombone,
    "clarinet": instrument.Clarinet, "bass clarinet": instrument.BassClarinet, "flute": instrument.Flute,
    "trumpet": instrument.Trumpet, "trombone": instrument.Trombone, "horn": instrument.Horn,
    "tuba": instrument.Tuba, "violin": instrument.Violin, "cello": instrument.Violoncello,
    "vibraphone": instrument.Vibraphone, "viola": instrument.Viola, "piano left hand": instrument.Piano,
    "organ pedals": instrument.Organ, "bass voice": instrument.Vocalist,
}  # fmt: skip


def reading(now: InForce) -> tuple[str, Interval]:
    """Return who reads the part, and how far above what sounds: when this changes a new instrument begins."""
    return now.instrument.name, written_interval(now.instrument, now.key)


def player(now: InForce, span: Span) -> instrument.Instrument:
    """Return the music21 instrument, transposing as it does in fact (music21 forgets the bass guitar)."""
    name = now.instrument.name
    made = PLAYERS.get(name, instrument.Instrument)()
    made.instrumentName = made.partName = name
    made.transposition = to_sounding(now.instrument, now.key)
    return at(made, span)


def time_signature(metre: Metre) -> meter.TimeSignature:
    """Return the metre; typed or usual groups of an asymmetric one become its beats and beams."""
    made = meter.TimeSignature(f"{metre.count}/{metre.unit}")
    if metre.kind == "asymmetric":
        parts = [f"{int(beat / metre.unit_length)}/{metre.unit}" for beat in metre.beat_lengths]
        for sequence in (made.beatSequence, made.beamSequence, made.accentSequence):
            sequence.partition(parts)
    return made


def dress(measure: stream.Measure, bar: Bar, before: InForce | None, span: Span) -> None:
    """Put on a measure what it shows at its start. `before`: what was in force; None at the piece's start."""
    now = bar.in_force
    if before is None or before.instrument.clef != now.instrument.clef:
        measure.insert(0, at(CLEFS[now.instrument.clef](), span))
    if before is None or bar.new_key or before.instrument != now.instrument:
        measure.insert(0, at(m21_key(written_key(now.key, now.instrument)), span))
    if before is None or bar.new_metre:
        measure.insert(0, at(time_signature(now.metre), span))
    if bar.tempo is not None:
        measure.insert(0, at(tempo_mark(bar.tempo), span))
    if bar.feel is not None and (before is not None or bar.feel.name != "straight"):
        measure.insert(0, at(feel_text(bar.feel), span))
    if bar.section:
        measure.insert(0, at(expressions.RehearsalMark(bar.section), span))
    if bar.time is not None:
        measure.editorial["scribeTime"] = str(bar.time)
    if bar.repeat:
        measure.editorial["scribeRepeat"] = bar.repeat
    missing = now.metre.length - bar.music.length
    if missing > 0:
        if now.pickup:
            measure.paddingLeft = missing
        else:
            measure.paddingRight = missing
    if bar.number == 0:
        measure.showNumber = ShowNumber.NEVER


def draw_barlines(first: stream.Measure, last: stream.Measure, bar: Bar, span: Span) -> None:
    """Put the barlines of a bar on its measures (`rest N` has several)."""
    if bar.left == "repeat start":
        first.leftBarline = at(barlines.Repeat(direction="start"), span)
    elif bar.left == "double":
        first.leftBarline = at(barlines.Barline("double"), span)
    if bar.right in ("repeat end", "repeat both"):
        last.rightBarline = at(barlines.Repeat(direction="end"), span)
    elif bar.right in ("double", "final"):
        last.rightBarline = at(barlines.Barline(bar.right), span)
    elif bar.right == "invisible":
        last.rightBarline = at(barlines.Barline("none"), span)


def endings(bars: Sequence[Bar], measures: Sequence[Sequence[stream.Measure]]) -> list[spanner.RepeatBracket]:
    """Return the brackets over first, second … endings. `measures`: those of each bar."""
    made: list[spanner.RepeatBracket] = []
    for index, bar in enumerate(bars):
        if not bar.endings:
            continue
        whole = bar.span
        if bar.ending_starts or not made:
            bracket = spanner.RepeatBracket(number=list(bar.endings))
            made.append(at(bracket, whole))
        made[-1].addSpannedElements(list(measures[index]))
        start, _ = made[-1].editorial["scribeSpan"]
        at(made[-1], Span(start, whole.end))
    return made
