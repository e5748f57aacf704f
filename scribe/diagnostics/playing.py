"""Codes about what the left hand cannot do."""

from __future__ import annotations

from scribe.diagnostics.code import Code

PLAYING: dict[str, Code] = {
    "one-string": Code(
        "warning",
        "two notes at once on one string",
        "A string sounds one note at a time. Notes of a stack that are pinned, or typed as frets, need a string each.",
        "| c:A+e:A . . . |\n",
        "| c:A+e:D . . . |\n",
    ),
    "out-of-reach": Code(
        "warning",
        "a stack that one hand cannot hold",
        "Its notes have no places within one reach of the hand, each on a string of its own. The mend leaves out as "
        "few notes as can be, the lowest last.",
        "| c+g+e+b . . . |\n",
        "| c+g+e . . . |\n",
    ),
    "wide-stretch": Code(
        "hint",
        "a stretch that strains the hand",
        "Between the first and the fourth finger ten centimetres are comfortable, thirteen a stretch; this is more. "
        "Stop when it hurts, warm up first, ask a teacher or a physiotherapist.",
        "tempo 60\n| g hb d g |\n",
        "tempo 60\n| g b d g |\n",
    ),
    "fast-shift": Code(
        "warning",
        "a shift too fast for the tempo",
        "The hand would have to travel faster than two metres a second in the time that the note before leaves for "
        "it. The remark names the tempo up to which it can be played.",
        "tempo 200\n| E:1E:15 . . . |\n",
        "tempo 60\n| E:1 . E:15 . |\n",
    ),
    "cannot-join": Code(
        "warning",
        "a hammer-on, pull-off or slide that cannot be played",
        "All three stay on one string. A hammer-on puts a higher finger down, a pull-off lets a lower one or the open "
        "string sound, both without moving the hand; a slide begins and ends on a fret.",
        "| A:2hA:1 . . . |\n",
        "| A:2pA:1 . . . |\n",
    ),
    "leaves-position": Code(
        "warning",
        "a note out of reach of the position",
        "`position 5` holds the first finger at that fret until another position or `position free`. Notes that cannot "
        "be reached from there are played elsewhere, and the hand comes back.",
        "position 5\n| a vf a c |\n",
        "position free\n| a vf a c |\n",
    ),
    "open-string-mark": Code(
        "warning",
        "vibrato, a bend or a fall-off on an open string",
        "All three are made by a finger, and this note has no place under one: it is the lowest open string.",
        "| g ve'v g c |\n",
        "| g ve g c |\n",
    ),
}
