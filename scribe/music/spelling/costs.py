"""What makes a name a bad one: one small table of costs, and the rules that say where each of them falls due.

Names are places on the line of fifths (F = -1, C = 0, G = 1 …; a sharp adds 7), so "far" always means fifths. The two
names of one key of the piano lie twelve places apart. The rules are common practice; the weights were found by a
search on one half of music21's corpus (split by file name) and rounded. The other half is reported by
`python -m tests.benchmarks.spelling`.
"""

from __future__ import annotations

from typing import NamedTuple

from scribe.music.chord import Chord
from scribe.music.key import MODES, Key
from scribe.music.pitch import name_at
from scribe.music.spelling.note import Note

Terms = dict[str, float]  # cost by the name of its rule, a field of `Costs`; zero costs are left out


class Costs(NamedTuple):
    """The weight of each rule. Only ratios matter."""

    fifth: float = 1  # for every fifth that the name lies outside the key's scale
    double: float = 7  # a double sharp or double flat outside the scale; twice that for a chord tone
    unison: float = 3  # a semitone step under one letter (C to C sharp) instead of two
    rising: float = 9  # … up from a note outside the scale to one inside: a leading tone lies a letter below
    falling: float = 2  # … down likewise
    run: float = 3  # … and the semitone before it came down as well: a falling run takes flats
    around: float = 2  # the same with another note in between
    skip: float = (
        0.5  # more than a tritone on the line of fifths from a note to the next but one, for every fifth more
    )
    twin: float = 8  # the same sound twice, at once or with one note between, under two names
    turn: float = 2.5  # … with one note between, where a semitone run turns: D D sharp E, E flat D
    near_flat: float = 1.5  # a note nearby lies seven or eight fifths above: a flat beside its own natural
    far_flat: float = 0.7  # … nine or more: the flat sixth beside the leading tone
    near_sharp: float = 0.55  # a note nearby lies seven to nine fifths below: usual for a leading tone
    far_sharp: float = 1.85  # … ten or more
    chord_tone: float = 10  # the chord in force has this sound under another name
    simplified: float = (
        2  # … which is C flat, F flat, E sharp, B sharp or a double accidental: this is the plain one
    )
    root: float = (
        2  # over a chord, outside the scale, more than a tritone from the root on the line of fifths
    )
    white: float = (
        2  # over a chord, outside the scale: C flat, F flat, E sharp or B sharp, which have a plain name
    )
    preference: float = 40  # a sharp name under `enharmonic flats`, a flat one under `enharmonic sharps`


COSTS = Costs()
REACH = 12  # notes before and after that count as nearby
OVER_CHORD = 0.25  # how much they count where a chord is in force: it says more than they do
DECAY = 0.9  # how much less each note further away counts
WHITE = (-8, -7, 11, 12)  # F flat, C flat, E sharp, B sharp
TRITONE = 6  # the widest interval on the line of fifths within one major scale


def scale_distance(place: int, key: Key) -> int:
    """Fifths that a name lies outside the key's scale; 0 inside.

    The scale is that of the signature; the raised seventh of every mode and the raised sixth of a minor one belong
    to it as well (harmonic and melodic minor).
    """
    above = place - key.tonic_fifths
    if above == 5 or (above == 3 and MODES[key.mode] >= 2):  # of the modes with a minor third
        return 0
    away = place - key.fifths
    return max(0, away - 5, -1 - away)


def blue(place: int, chord: Chord | None) -> bool:
    """Whether a name is the flat third or flat fifth over a chord with major third and minor seventh."""
    if chord is None or chord.root is None:
        return False
    root = fifths_of(*chord.root)
    return place - root in (-3, -6) and {root + 4, root - 2} <= {fifths_of(*t.name) for t in chord.tones}


def in_reach(place: int, key: Key, chord: Chord | None) -> bool:
    """Whether a name may lead on by a semitone under one letter: in the scale, borrowed, or the chord's own.

    Borrowed are the flat seventh, which may rise to the seventh, and the raised fourth, which may fall to the fourth
    (over a dominant chord it is the flat fifth that falls). The blue third may rise to the chord's third.
    """
    if chord is None or chord.root is None:
        return scale_distance(place, key) <= 1
    root = fifths_of(*chord.root)
    if any(fifths_of(*tone.name) == place for tone in chord.tones) or scale_distance(place, key) == 0:
        return True
    if blue(root - 3, chord) and place - root in (-3, 6):
        return place < root
    return scale_distance(place, key) == 1


def name_terms(place: int, key: Key, prefer: str, costs: Costs) -> Terms:
    """What a name costs by itself in a key. `prefer` is "sharps", "flats" or ""."""
    terms: Terms = {}
    away = scale_distance(place, key)
    if not away:
        return terms
    terms["fifth"] = costs.fifth * away
    alter = name_at(place)[1]
    if abs(alter) > 1:
        terms["double"] = costs.double
    if (prefer == "sharps" and alter < 0) or (prefer == "flats" and alter > 0):
        terms["preference"] = costs.preference
    return terms


def chord_terms(place: int, chord: Chord, key: Key, costs: Costs) -> Terms | None:
    """What a name costs over a chord that has its sound, None if the chord has no such tone."""
    found: Terms | None = None
    for tone in chord.tones:
        there = fifths_of(*tone.name)
        if (there - place) % 12:
            continue
        foreign = scale_distance(there, key) > 0
        double = abs(tone.name[1]) > 1 and foreign
        if there == place:
            return {"double": 2 * costs.double} if double else {}
        alter = abs(name_at(place)[1])
        plain = (double and alter < 2) or (there in WHITE and foreign and not alter)
        found = {"simplified": costs.simplified} if plain else {"chord_tone": costs.chord_tone}
    return found


def sounds_in(midi: int, chord: Chord | None) -> bool:
    """Whether a chord has a sound as one of its tones."""
    return chord is not None and any((fifths_of(*t.name) - 7 * midi) % 12 == 0 for t in chord.tones)


def own_terms(note: Note, place: int, costs: Costs, blues: bool = False) -> tuple[Terms, float]:
    """What a name costs in its key or chord, and how much what lies nearby weighs (1 where no chord is in force).

    A tone of the chord is named by the chord: key and surroundings have no say. `blues`: the note falls to the fourth
    and on to the flat third of the key, so the flat fifth costs nothing.
    """
    chord = note.chord
    if blues and place - note.key.tonic_fifths == -6 and not sounds_in(note.midi, chord):
        return {}, OVER_CHORD
    if chord is None or chord.root is None:
        return name_terms(place, note.key, note.prefer, costs), 1.0
    terms = chord_terms(place, chord, note.key, costs)
    if terms is not None:
        return terms, 0.0
    if blue(place, chord):
        return {}, OVER_CHORD
    terms = name_terms(place, note.key, note.prefer, costs)
    if terms and abs(place - fifths_of(*chord.root)) > TRITONE:
        terms["root"] = costs.root
    if terms and place in WHITE:
        terms["white"] = costs.white
    return terms, OVER_CHORD


class Step(NamedTuple):
    """From a note to the next: so many semitones; `run` if the step before was a semitone the same way."""

    semitones: int
    run: bool = False


class Pass(NamedTuple):
    """From a note to the next but one: so many semitones; `turn` if a semitone run comes or goes on on either side."""

    semitones: int
    turn: bool = False


def step_terms(step: Step, fifths: int, from_scale: bool, to_scale: bool, costs: Costs) -> Terms:
    """What the names of two notes in a row cost together: `fifths` from the first to the second."""
    if step.semitones == 0:
        return {"twin": costs.twin} if fifths else {}
    if abs(step.semitones) != 1 or abs(fifths) == 5:
        return {}
    if abs(fifths) != 7:
        return {"unison": 2 * (costs.unison + costs.rising)}  # F double sharp to G flat: nobody writes that
    terms = {"unison": costs.unison}
    if to_scale and not from_scale:
        terms |= {"rising": costs.rising} if step.semitones > 0 else {"falling": costs.falling}
        if step.run and step.semitones < 0:
            terms["run"] = costs.run
    return terms


def pass_terms(between: Pass, fifths: int, costs: Costs) -> Terms:
    """What the names of a note and the next but one cost together."""
    wide = min(abs(fifths) - TRITONE, TRITONE)
    if wide <= 0:
        return {}
    if between.semitones == 0:
        return {"turn": costs.turn} if between.turn else {"twin": costs.twin}
    return {"around": costs.around} if abs(between.semitones) == 1 else {"skip": costs.skip * wide}


def nearby_term(fifths: int) -> str:
    """The rule for a name so many fifths above a note nearby, "" if they go together."""
    if fifths > 9:
        return "far_sharp"
    if fifths > TRITONE:
        return "near_sharp"
    if fifths >= -TRITONE:
        return ""
    return "near_flat" if fifths >= -8 else "far_flat"


def fifths_of(letter: str, alter: int) -> int:
    """The place of a name on the line of fifths."""
    return "FCGDAEB".index(letter) - 1 + 7 * alter
