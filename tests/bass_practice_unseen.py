"""A second list of common fingerings, written down before anyone looked at what the search makes of them.

It asks for keys, modes, inversions, registers and basses that the first list (`tests.bass_practice`) leaves out. When
it was first asked, with weights chosen for the first list alone, 993 of its 1060 notes (93.7 %) agreed, and 109 of the
129 notes of walking lines. An open string had cost the same beside a low fret as beside a high one; since
then the cost grows with the part of the string that its neighbour stops off, and the size of that cost, of crossing to
the next string and of rolling a finger were chosen with both lists in view. Every expectation is
common practice without a source ([C]), or follows from the words alone ([D]: a line "in first position" has each
note on the string where its fret is lowest).

Two ways are taught for most shapes near the nut, the closed one that moves to any key and the one in first position.
The second counts here where it stays within four frets and has an open string, or within five and has two.
"""

from __future__ import annotations

from collections.abc import Sequence

from scribe.bass.fretboard import fretboard
from tests.bass_practice import (
    MAJOR,
    MINOR,
    PENTATONIC,
    ROOT_FIFTH_OCTAVE,
    Practice,
    box,
    notes_of,
    places_typed,
)

Shape = tuple[tuple[int, ...], ...]

# Frets from the root's, string by string. Dorian and melodic minor are taught with a stretch or with a step back.
DORIAN: tuple[Shape, ...] = (((0, 2, 3), (0, 2), (-1, 0, 2)), ((0, 2, 3), (0, 2, 4), (0, 2)))
PHRYGIAN: tuple[Shape, ...] = (((0, 1, 3), (0, 2, 3), (0, 2)),)
LYDIAN: tuple[Shape, ...] = (((0, 2), (-1, 1, 2), (-1, 1, 2)),)
MIXOLYDIAN: tuple[Shape, ...] = (((0, 2), (-1, 0, 2), (-1, 0, 2)),)
LOCRIAN: tuple[Shape, ...] = (((0, 1, 3), (0, 1, 3), (0, 2)),)
HARMONIC_MINOR: tuple[Shape, ...] = (((0, 2, 3), (0, 2, 3), (1, 2)),)
MELODIC_MINOR: tuple[Shape, ...] = (((0, 2, 3), (0, 2, 4), (1, 2)), ((0, 2, 3), (0, 2), (-1, 1, 2)))
MAJOR_PENTATONIC: tuple[Shape, ...] = (((0, 2), (-1, 2), (-1, 2)),)
FIRST_INVERSION: tuple[Shape, ...] = (((2,), (0,), (0,)),)  # 3 5 1
SECOND_INVERSION: tuple[Shape, ...] = (((1,), (1,), (0,)),)  # 5 1 3
MINOR_FIRST_INVERSION: tuple[Shape, ...] = (((1,), (0,), (0,)),)
MINOR_SECOND_INVERSION: tuple[Shape, ...] = (((2,), (2,), (0,)),)
SEVENTH_TO_OCTAVE: tuple[Shape, ...] = (((0,), (-1, 2), (0, 2)),)
MAJOR_SEVENTH_TO_OCTAVE: tuple[Shape, ...] = (((0,), (-1, 2), (1, 2)),)
MINOR_SEVENTH_TO_OCTAVE: tuple[Shape, ...] = (((0, 3), (2,), (0, 2)),)
SIXTH_TO_OCTAVE: tuple[Shape, ...] = (((0,), (-1, 2), (-1, 2)),)
MINOR_MAJOR_SEVENTH: tuple[Shape, ...] = (((0, 3), (2,), (1, 2)),)
LOW, MIDDLE = "EAD", "ADG"
FIVE, SIX = "strings B E A D G\n", "strings B E A D G C\n"
DOUBLE = "instrument double bass\n"
NAMES = {FIVE: "B E A D G", SIX: "B E A D G C"}

THIRDS = (0, 2, 1, 3, 2, 4, 3, 5, 4, 6, 5, 7)  # a scale in thirds, by its notes
BOOGIE = (0, 1, 2, 3, 4, 3, 2, 1)  # 1 3 5 6 b7 6 5 3
SIXTH_AND_SEVENTH: Shape = ((0,), (-1, 2), (-1, 0))
OCTAVE_SEVENTH_FIFTH = (0, 3, 2, 1)  # 1 8 b7 5
FIFTH_SEVENTH_OCTAVE: Shape = ((0,), (2,), (0, 2))


def ordered(way: str, order: Sequence[int]) -> str:
    """The notes of a way in another order."""
    notes = notes_of(way)
    return " ".join(notes[i] for i in order)


def backwards(way: str) -> str:
    """The notes of a way from the last to the first."""
    return ordered(way, range(sum(part.count(":") for part in way.split()) - 1, -1, -1))


def in_first_position(way: str, setting: str = "") -> tuple[str, ...]:
    """The same notes where their frets are lowest, if that is taught as a way of its own."""
    neck = fretboard(NAMES.get(setting, "E A D G"))
    low = [neck.places(neck.midi(*place))[0] for place in places_typed(way, setting)]
    names = list(reversed([pitch.name for pitch in neck.tuning]))
    top, opened = max(fret for _, fret in low), sum(fret == 0 for _, fret in low)
    taught = (top <= 4 and opened >= 1) or (top <= 5 and opened >= 2)
    return (" ".join(f"{names[string - 1]}:{fret}" for string, fret in low),) if taught else ()


def entry(
    kind: str, name: str, closed: Sequence[str], setting: str = "", order: Sequence[int] | None = None
) -> Practice:
    """A closed shape, or two, and its way in first position."""
    ways = tuple(ordered(way, order) for way in closed) if order else tuple(closed)
    return Practice(
        kind, name, tuple(dict.fromkeys((*ways, *in_first_position(ways[0], setting)))), "C", setting
    )


def shapes(
    kind: str,
    forms: tuple[Shape, ...],
    roots: Sequence[tuple[str, int]],
    setting: str = "",
    order: Sequence[int] | None = None,
) -> list[Practice]:
    """A shape on several roots, each a set of strings and a fret."""
    return [
        entry(
            kind,
            f"{kind} from {strings[0]}:{fret}",
            [box(strings, fret, form) for form in forms],
            setting,
            order,
        )
        for strings, fret in roots
        if fret + min(min(row) for form in forms for row in form) >= 0
    ]


def down(kind: str, form: Shape, roots: Sequence[tuple[str, int]]) -> list[Practice]:
    """A scale from its octave to its root."""
    return [
        entry(kind, f"{kind} to {strings[0]}:{fret}", [backwards(box(strings, fret, form))])
        for strings, fret in roots
    ]


# Written as lines over changes are played in first position: roots, chord tones, approaches from a semitone.
WALKING = (
    ("C7, two bars", "A:3 D:2 G:0:2:3:2:0 D:2"),
    ("F7, up and down", "E:1 A:0:3 D:0:1:0 A:3:0"),
    ("B flat 7 to E flat 7", "A:1 D:0:3 G:1:0 D:3:1:0"),
    ("G minor 7, C7, F", "E:3 A:0:1:2:3:1:0 E:3:1"),
    ("A minor, down to E", "A:0 E:3:1:0 A:0:2:3:0"),
    ("D minor", "D:0:3 G:2:0 D:3:2:0 A:4"),
    ("E7, up and down", "E:0:4 A:2:4 D:0 A:4:2 E:4"),
    ("A7, up and down", "A:0:4 D:2:4 G:0 D:4:2 A:4"),
    ("G7, up and down", "E:3 A:2 D:0:2:3:2:0 A:2"),
    ("D7", "D:0:4 G:2:0 D:4:2:0 A:0"),
    ("E flat to A flat", "D:1 G:0:3:0:1 D:3 G:3 D:0"),
    ("F minor 7 to B flat 7", "E:1:4 A:3 D:1 A:1 D:0:3 G:1"),
    ("turnaround in F", "D:3:2:0 A:3:1:0 E:3 A:3"),
    ("C minor", "A:3 D:1 G:0 D:3:1:0 A:3:2"),
    ("E minor, by steps", "E:0:2:3 A:0:2:0 E:3:2"),
    ("B flat up by semitones", "A:1:2:3:4 D:0 A:3:2:1"),
)
WALKING_FIVE = (
    ("D on five strings", "B:3 E:0:2:3 A:0 E:3:2:0"),
    ("C on five strings", "B:1:3 E:0:1:3:1:0 B:3"),
    ("E flat on five strings", "B:4 E:1:3 A:1 E:4:3:1 B:4"),
)
CHROMATIC = (
    ("E to A flat", "E:0:1:2:3:4 A:0:1:2:3:4"),
    ("D to B", "D:0:1:2:3:4 G:0:1:2:3:4"),
    ("D flat down to E", "A:4:3:2:1:0 E:4:3:2:1:0"),
)
# Two strings apart, played by turns; two ways where the low root is also an open string or both are taught.
OCTAVES = (
    ("E, upper register", ("A:7 G:9 A:7 G:9",)),
    ("F, upper register", ("A:8 G:10 A:8 G:10",)),
    ("G, upper register", ("A:10 G:12 A:10 G:12",)),
    ("A, upper register", ("A:12 G:14 A:12 G:14",)),
    ("D", ("A:5 G:7 A:5 G:7", "E:10 D:12 E:10 D:12")),
    ("C sharp", ("A:4 G:6 A:4 G:6", "E:9 D:11 E:9 D:11")),
    ("B flat", ("A:1 G:3 A:1 G:3", "E:6 D:8 E:6 D:8")),
    ("A", ("A:0 G:2 A:0 G:2", "E:5 D:7 E:5 D:7")),
    ("F", ("E:1 D:3 E:1 D:3",)),
    ("A flat", ("E:4 D:6 E:4 D:6", "E:4 G:1 E:4 G:1")),
)
BOXES_UP = (("A", 7), ("A", 8), ("A", 10), ("A", 12))
FIFTH_BELOW = (
    ("A", "E", 3),
    ("A", "E", 5),
    ("A", "E", 1),
    ("A", "E", 2),
    ("D", "A", 5),
    ("D", "A", 3),
    ("D", "A", 4),
)
FIFTH_BELOW_FIVE = (("E", "B", 3), ("E", "B", 5), ("E", "B", 1), ("E", "B", 2))
DOUBLE_BASS = (
    ("F major", "E:1:3 A:0:1:3 D:0:2:3"),
    ("B flat major", "A:1:3 D:0:1:3 G:0:2:3"),
    ("G major", "E:3 A:0:2:3 D:0:2:4 G:0"),
    ("G minor", "E:3 A:0:1:3 D:0:1:3 G:0"),
    ("A major", "A:0:2:4 D:0:2:4 G:1:2"),
    ("E minor", "E:0:2:3 A:0:2:3 D:0:2"),
    ("C major, to the sixth", "A:3 D:0:2:3 G:0:2"),
)

UNSEEN: tuple[Practice, ...] = (
    *shapes("dorian", DORIAN, [(MIDDLE, 5), (LOW, 3), (MIDDLE, 3), (LOW, 5), (MIDDLE, 1), (LOW, 4)]),
    *shapes("phrygian", PHRYGIAN, [(LOW, 0), (LOW, 5), (LOW, 2), (MIDDLE, 2), (MIDDLE, 4)]),
    *shapes("lydian", LYDIAN, [(LOW, 1), (MIDDLE, 1), (LOW, 4), (MIDDLE, 3), (MIDDLE, 6)]),
    *shapes("mixolydian", MIXOLYDIAN, [(LOW, 3), (LOW, 5), (MIDDLE, 3), (MIDDLE, 5), (LOW, 6), (MIDDLE, 7)]),
    *shapes("locrian", LOCRIAN, [(LOW, 2), (MIDDLE, 2)]),
    *shapes("harmonic minor", HARMONIC_MINOR, [(LOW, 5), (LOW, 3), (MIDDLE, 3), (MIDDLE, 5), (MIDDLE, 2)]),
    *shapes("melodic minor", MELODIC_MINOR, [(MIDDLE, 3), (LOW, 1), (MIDDLE, 5)]),
    *shapes(
        "major pentatonic", MAJOR_PENTATONIC, [(LOW, 3), (LOW, 5), (MIDDLE, 3), (MIDDLE, 5), (MIDDLE, 6)]
    ),
    *down("major scale, down", MAJOR, [(LOW, 3), (LOW, 6), (MIDDLE, 3), (MIDDLE, 5), (MIDDLE, 6)]),
    *down("minor scale, down", MINOR, [(LOW, 5), (MIDDLE, 3), (MIDDLE, 5)]),
    *shapes("major scale in thirds", (MAJOR,), [(LOW, 4), (MIDDLE, 3), (MIDDLE, 5), (LOW, 6)], order=THIRDS),
    *shapes("triad, first inversion", FIRST_INVERSION, [(s, f) for s in (LOW, MIDDLE) for f in (3, 5, 6)]),
    *shapes(
        "minor triad, first inversion", MINOR_FIRST_INVERSION, [(LOW, 5), (LOW, 7), (MIDDLE, 4), (MIDDLE, 5)]
    ),
    *shapes(
        "triad, second inversion",
        SECOND_INVERSION,
        [(LOW, 2), (LOW, 4), (MIDDLE, 2), (MIDDLE, 4), (MIDDLE, 7)],
    ),
    *shapes(
        "minor triad, second inversion",
        MINOR_SECOND_INVERSION,
        [(LOW, 1), (LOW, 3), (MIDDLE, 3), (MIDDLE, 5)],
    ),
    *shapes("seventh to the octave", SEVENTH_TO_OCTAVE, [(LOW, 5), (LOW, 6), (MIDDLE, 5), (MIDDLE, 6)]),
    *shapes(
        "major seventh to the octave", MAJOR_SEVENTH_TO_OCTAVE, [(LOW, 2), (LOW, 5), (MIDDLE, 2), (MIDDLE, 7)]
    ),
    *shapes(
        "minor seventh to the octave", MINOR_SEVENTH_TO_OCTAVE, [(LOW, 2), (LOW, 5), (MIDDLE, 2), (MIDDLE, 7)]
    ),
    *shapes("sixth to the octave", SIXTH_TO_OCTAVE, [(LOW, 2), (LOW, 5), (MIDDLE, 3), (MIDDLE, 6)]),
    *shapes("minor with major seventh", MINOR_MAJOR_SEVENTH, [(LOW, 5), (MIDDLE, 3), (MIDDLE, 5)]),
    *shapes(
        "boogie", (SIXTH_AND_SEVENTH,), [(MIDDLE, 3), (LOW, 1), (LOW, 3), (LOW, 5), (MIDDLE, 5)], order=BOOGIE
    ),
    *shapes(
        "octave, seventh, fifth",
        (FIFTH_SEVENTH_OCTAVE,),
        [(MIDDLE, 3), (MIDDLE, 5), (MIDDLE, 6), (LOW, 3), (LOW, 5), (LOW, 1), (MIDDLE, 7)],
        order=OCTAVE_SEVENTH_FIFTH,
    ),
    *(Practice("octaves by turns", name, ways) for name, ways in OCTAVES),
    *shapes(
        "root, fifth, octave, upper register", (ROOT_FIFTH_OCTAVE,), [(MIDDLE, fret) for _, fret in BOXES_UP]
    ),
    *(
        entry("root and fifth below", f"{root}:{fret}", [" ".join([f"{root}:{fret} {under}:{fret}"] * 2)])
        for root, under, fret in FIFTH_BELOW
    ),
    *(Practice("chromatic scale, first position", name, (way,), "D") for name, way in CHROMATIC),
    *(Practice("walking line, first position", name, (way,), "D") for name, way in WALKING),
    *shapes("major scale on five strings", (MAJOR,), [("BEA", 3), ("BEA", 4), (LOW, 3), (MIDDLE, 3)], FIVE),
    *shapes("minor scale on five strings", (MINOR,), [("BEA", 2), ("BEA", 3), ("BEA", 4), (LOW, 5)], FIVE),
    *shapes("pentatonic on five strings", (PENTATONIC,), [("BEA", 3), ("BEA", 4)], FIVE),
    *shapes(
        "root, fifth, octave on five strings",
        (ROOT_FIFTH_OCTAVE,),
        [("BEA", 1), ("BEA", 3), ("BEA", 4)],
        FIVE,
    ),
    *(
        entry(
            "root and fifth below on five strings",
            f"{root}:{fret}",
            [" ".join([f"{root}:{fret} {under}:{fret}"] * 2)],
            FIVE,
        )
        for root, under, fret in FIFTH_BELOW_FIVE
    ),
    *(
        Practice("walking line, first position, five strings", name, (way,), "D", FIVE)
        for name, way in WALKING_FIVE
    ),
    *shapes("major scale on six strings", (MAJOR,), [("DGC", 3), ("DGC", 5), ("DGC", 7)], SIX),
    *(Practice("double bass, first positions", name, (way,), "C", DOUBLE) for name, way in DOUBLE_BASS),
)
