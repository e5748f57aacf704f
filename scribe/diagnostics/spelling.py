"""Codes about the names of notes and the key that they stand in."""

from __future__ import annotations

from scribe.diagnostics.code import Code

SPELLING: dict[str, Code] = {
    "spelling": Code(
        "warning",
        "a name that a reader would not expect here",
        "The note sounds right, but in this key, over this chord, among these neighbours it is called otherwise: a "
        "tone of the chord by the chord, a scale tone by the key, a leading tone a letter below its goal. Only clear "
        "cases are named. `=` behind the name says that it is meant; `enharmonic free` ends these warnings, "
        "`enharmonic fix` puts the better names on the page.",
        "key Eb\n| e G# ^B e |\n",
        "key Eb\n| e a ^B e |\n",
    ),
    "wrong-key": Code(
        "hint",
        "notes that fit another key better",
        "One letter is altered nearly every time it comes. With the key that has it so, the line reads and types more "
        "easily. Tones of a written chord do not count.",
        "key G\n| g b d F | d F e F | g F e d |\n",
        "key C\n| g b d F | d F e F | g F e d |\n",
    ),
    "needless-accidental": Code(
        "hint",
        "an accidental that the key gives anyway",
        "A small letter is read through the key, so in G major `f` is F sharp already. `=` behind it says that the "
        "sign is meant.",
        "key G\n| g d f# g |\n",
        "key G\n| g d f g |\n",
    ),
}
