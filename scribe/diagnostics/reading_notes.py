"""Codes of beat words: notes, marks, connectors, accidentals, stacks, grace and ghost notes."""

from __future__ import annotations

from scribe.diagnostics.code import Code

NOTES: dict[str, Code] = {
    "mixed-word": Code(
        "error",
        "letters, degrees and frets mixed in a word",
        "A beat word is all letters, all degrees or all frets; `-`, `.`, `x` and `u` suit all three. "
        "Octaves are chosen with `^` and `v`, not with digits.",
        "| g g5 d g |\n",
        "| g gd d g |\n",
    ),
    "degree-number": Code(
        "error",
        "a degree that does not exist",
        "Degrees go from 1 to 7; the octave is chosen with `^` and `v`. A silence is `.`, an open string a "
        "fret such as `A:0`.",
        "| 1 3 5 8 |\n",
        "| 1 3 5 ^1 |\n",
    ),
    "fret-number": Code(
        "error",
        "a fret with too many digits",
        "A fret has one or two digits. In a word each fret has its own `:`, as in `A:3:5:7`.",
        "| A:357 g b d |\n",
        "| A:3:5:7 g b d |\n",
    ),
    "string-missing": Code(
        "error",
        "a fret without a string",
        "The first fret of a word names its string, as in `A:3:5`.",
        "| :3:5 g b d |\n",
        "| A:3:5 g b d |\n",
    ),
    "string-name": Code(
        "error",
        "no string and no fret behind `:`",
        "Behind `:` stands the name of a string, as in `g:A`, or a fret, as in `A:3`. A dead note on a "
        "string is `x:A`.",
        "| E:x g b d |\n",
        "| x:E g b d |\n",
    ),
    "pin-on-fret": Code(
        "error",
        "a fret with a second string",
        "`A:3` is on the A string already.",
        "| A:3:D g b d |\n",
        "| A:3 g b d |\n",
    ),
    "two-strings": Code(
        "error",
        "one note on two strings",
        "A note is played on one string.",
        "| c:A:E g b d |\n",
        "| c:A g b d |\n",
    ),
    "sign-without-use": Code(
        "error",
        "a sign that says nothing here",
        "`^` and `v` choose an octave and `=` means a spelling: a fret, a dead note and an unheard note "
        "have neither to choose.",
        "| ^x g b d |\n",
        "| x g b d |\n",
    ),
    "contour-both-ways": Code(
        "error",
        "up and down at one note",
        "`^` leads to the next pitch of that name above, `v` to the next below; more of one kind add "
        "octaves.",
        "| ^vg b d g |\n",
        "| g b d g |\n",
    ),
    "two-connectors": Code(
        "error",
        "two connectors at one note",
        "One connector leads to a note or a stack: `~` slur, `h` hammer-on, `p` pull-off, `/` and `\\` "
        "slides.",
        "| g ~hb d g |\n",
        "| g hb d g |\n",
    ),
    "connector-without-note": Code(
        "error",
        "a sign that leads to no note",
        "Connectors `~` `h` `p` `/`, octave marks `^` `v` and the ghost mark `q` stand right before their "
        "note. The dynamics are `'p` and `'f`.",
        "| g~ b d g |\n",
        "| g ~b d g |\n",
    ),
    "accidental-without-note": Code(
        "error",
        "an accidental that belongs to no pitch",
        "An accidental stands behind a letter or before a degree. Holds, silences, dead and unheard notes "
        "take none.",
        "| x# b d g |\n",
        "| x b d g |\n",
    ),
    "misplaced-accidental": Code(
        "error",
        "an accidental on the wrong side",
        "A letter has its accidental behind it (`F#`), a degree before it (`b3`).",
        "| 1 3b 5 1 |\n",
        "| 1 b3 5 1 |\n",
    ),
    "too-many-accidentals": Code(
        "error",
        "more than one kind of accidental",
        "A note has one accidental: `#`, `##`, `n`, or behind a capital `b` and `w` (the double flat).",
        "| F#n b d g |\n",
        "| F# b d g |\n",
    ),
    "double-flat-small": Code(
        "error",
        "a double flat behind a small letter",
        "Flats are typed behind capitals: `Bb`, and `Bw` for the double flat. Small letters take their "
        "flats from the key.",
        "key Cb\n| bw g d g |\n",
        "key Cb\n| Bw g d g |\n",
    ),
    "flat-then-b": Code(
        "hint",
        "a flat and then the note b",
        "Behind a capital one `b` belongs to it and the next is a note: `Bbb` is B flat, then b. The double "
        "flat is `Bw`. With a hold or a blank between, or the flat taken from the key, there is no doubt.",
        "key Cb\n| Bbb g d g |\n",
        "key Cb\n| Bw g d g |\n",
    ),
    "mark-twice": Code(
        "hint",
        "the same mark twice on a note",
        "It says no more than once.",
        "| g>> b d g |\n",
        "| g> b d g |\n",
    ),
    "mark-on-hold": Code(
        "error",
        "a mark on a hold or a silence",
        "`-` and `.` take no marks and no connectors: marks stand where the note starts.",
        "| g -> d g |\n",
        "| g> - d g |\n",
    ),
    "mark-before-note": Code(
        "error",
        "a mark before its note",
        "Marks stand behind the note: `>` accent, `*` staccato, `_` tenuto, `?` doubtful and the others.",
        "| >g b d g |\n",
        "| g> b d g |\n",
    ),
    "mark-on-grace": Code(
        "error",
        "a mark on a grace note",
        "Grace notes take no marks of their own; mark the note they lead to.",
        "| ,c>d b d g |\n",
        "| ,cd> b d g |\n",
    ),
    "unknown-mark": Code(
        "error",
        "a mark that does not exist",
        "Marks behind a note that begin with `'` are `'t` thumb, `'p` popped, `'o` harmonic, `'v` vibrato, "
        "`'b` bent, `'h` held. A dynamic or a direction is a word of its own before the note.",
        "| g'mf b d g |\n",
        "| 'mf g b d g |\n",
    ),
    "grace-alone": Code(
        "error",
        "a grace note that leads nowhere",
        "`,` makes the pitch behind it a grace note at the head of a slot: a note of the same word follows, "
        "as in `,cd`.",
        "| ,c d e g |\n",
        "| ,cd e d g |\n",
    ),
    "stack-without-note": Code(
        "error",
        "`+` with a note on one side only",
        "`e+b` are two notes that sound together.",
        "| e+ b d g |\n",
        "| e+b b d g |\n",
    ),
    "unclosed-parenthesis": Code(
        "error",
        "a ghost note without its closing parenthesis",
        "Parentheses make the notes between them ghost notes; they open and close in one beat word.",
        "| (g b d g |\n",
        "| (g) b d g |\n",
    ),
    "unmatched-parenthesis": Code(
        "error",
        "a closing parenthesis without an open one",
        "Parentheses make the notes between them ghost notes; they open and close in one beat word.",
        "| g) b d g |\n",
        "| (g) b d g |\n",
    ),
    "nested-parentheses": Code(
        "error",
        "parentheses inside parentheses",
        "Parentheses make the notes between them ghost notes; one pair is enough.",
        "| ((g)) b d g |\n",
        "| (g) b d g |\n",
    ),
    "no-note-in-parentheses": Code(
        "error",
        "parentheses with no note in them",
        "Parentheses make the notes between them ghost notes.",
        "| g(-) b d g |\n",
        "| (g-) b d g |\n",
    ),
}
