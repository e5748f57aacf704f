"""Chord symbols, built from what scribe itself understood: never from text, which music21 reads otherwise."""

from __future__ import annotations

import copy
from functools import lru_cache

from music21 import expressions, harmony, pitch

from scribe.diagnostics import Span
from scribe.music.chord import Chord
from scribe.music.events import PlacedChord
from scribe.music.interval import Interval, move_name
from scribe.music.pitch import Pitch
from scribe.score.label import at, in_doubt
from scribe.score.pitches import m21_pitch

ROOT_OCTAVE = 3  # as music21's own reading of symbols has it; a chord symbol has no octave
KIND_OF_ITS_OWN = harmony.CHORD_ALIASES  # MusicXML's name of a kind: music21's


def symbol(placed: PlacedChord, up: Interval, span: Span) -> harmony.ChordSymbol | expressions.TextExpression:
    """Return the chord symbol, `up` from where it sounds; plain text where the name was not understood."""
    if placed.chord is None:
        text = at(expressions.TextExpression(placed.name), span, scribeName=placed.name)
        text.placement = "above"
        return in_doubt(text) if placed.doubtful else text
    made = copy.deepcopy(_made(placed.chord, up))
    at(made, span, scribeName=placed.name)
    return in_doubt(made) if placed.doubtful else made


@lru_cache(maxsize=512)
def _made(chord: Chord, up: Interval) -> harmony.ChordSymbol:
    if chord.root is None:
        return harmony.NoChord(chord.text)
    made = harmony.ChordSymbol()
    made.chordKind = KIND_OF_ITS_OWN.get(chord.kind, chord.kind)
    tones = _stack(chord, up)
    made.pitches = tuple(tones)
    made.root(tones[0])
    if chord.bass is not None and chord.bass != chord.root:
        made.bass(_below(chord.bass, tones[0], up), allow_add=True)
    else:
        made.bass(tones[0])
    for degree in chord.degrees:
        made.chordStepModifications.append(
            harmony.ChordStepModification(degree.action, degree.number, degree.alter)
        )
    if not chord.degrees:  # with degrees the reader of MusicXML makes the text: it would print them twice
        made.chordKindStr = suffix(chord)
    return made


def suffix(chord: Chord) -> str:
    """Return what the writer typed after the root and before the slash."""
    if chord.root is None:
        return ""
    text = chord.text[1 + abs(chord.root[1]) :]
    return text.rsplit("/", 1)[0] if chord.bass is not None else text


def _stack(chord: Chord, up: Interval) -> list[pitch.Pitch]:
    """Return the tones, written, none lower on the staff than the one before."""
    made: list[pitch.Pitch] = []
    floor = -1
    for tone in chord.tones:
        name = Pitch(*move_name(tone.name, up), ROOT_OCTAVE)
        while name.staff < floor:
            name = name.octaves(1)
        floor = name.staff
        made.append(m21_pitch(name))
    return made


def _below(bass: tuple[str, int], root: pitch.Pitch, up: Interval) -> pitch.Pitch:
    name = Pitch(*move_name(bass, up), ROOT_OCTAVE)
    made = m21_pitch(name)
    while made.diatonicNoteNum > root.diatonicNoteNum:
        name = name.octaves(-1)
        made = m21_pitch(name)
    return made
