"""Codes of the stages behind reading: what a draft means, and whether it can be played and written."""

from __future__ import annotations

from scribe.diagnostics.code import Code

MEANING: dict[str, Code] = {
    "bad-value": Code(
        "error",
        "a directive's value does not exist",
        "The value has the right form but stands for nothing: a pickup as long as the bar, "
        "an instrument nobody has heard of, a fret for `home` on a string that is not there. The line is left out; "
        "what was in force stays so.",
        "pickup 4\n| g b d g |\n",
        "pickup 1\n| g | g b d g |\n",
    ),
    "word-count": Code(
        "error",
        "wrong number of beat words in a bar",
        "The words of a bar share it equally, so only some numbers make sense: the whole bar as one word, half the "
        "beats, the beats, or each beat in two (three in compound metre). Letters of one beat stand without blanks.",
        "time 4/4\n| g b d |\n",
        "time 4/4\n| g b d g |\n",
    ),
    "slot-count": Code(
        "error",
        "a beat word that cannot be divided so",
        "A beat word has 1 to 9, 12 or 16 slots. A word that fills the bar may also have a multiple of the metre's "
        "units, such as 24 in 4/4.",
        "| gggggggggg b d g |\n",
        "| ggggg ggggg b d |\n",
    ),
    "chord-slot": Code(
        "error",
        "a chord set behind its beat word's last slot",
        "`@3:Cm7` stands at the third slot of the beat word that follows, so that word needs three slots.",
        "| @3:Cm7 gb b d g |\n",
        "| @2:Cm7 gb b d g |\n",
    ),
    "chord-unknown": Code(
        "warning",
        "a chord symbol that is not understood",
        "It is printed as typed, but nothing is known of its tones: degrees of the chord and names for frets go by "
        "the chord before it.",
        "| @Cwide g b d g |\n",
        "| @Cm7 g b d g |\n",
    ),
    "hold-nothing": Code(
        "error",
        "a hold with nothing to hold",
        "`-` lets the note or the silence before it go on. At the very start of a draft there is neither.",
        "| - b d g |\n",
        "| . b d g |\n",
    ),
    "hold-differs": Code(
        "warning",
        "a hold that meets another note on a later pass",
        "A hold at the start of a repeated stretch goes on from the bar before it. When the repeat comes back it "
        "follows another bar; if that ends on another note, the note is struck again there.",
        "| g b d g |: - b d b :|\n",
        "| g b d g |: - b d g :|\n",
    ),
    "degree-no-chord": Code(
        "error",
        "a degree of the chord where no chord is in force",
        "Under `degrees chord` the numbers count from the root of the last chord symbol.",
        "degrees chord\n| 1 3 5 3 |\n",
        "degrees chord\n| @Gm7 1 b3 5 b3 |\n",
    ),
    "triple-accidental": Code(
        "error",
        "a degree that would need three accidentals",
        "Degrees spell themselves from the tonic; in keys with many signs an altered degree can get out of hand.",
        "key Cb\n| bb7 1 3 5 |\n",
        "key Cb\n| A 1 3 5 |\n",
    ),
    "no-strings": Code(
        "error",
        "a string named for an instrument without strings and frets",
        "Places such as `A:3` and pins such as `g:A` belong to the bass and other fretted instruments.",
        "instrument trumpet\n| A:3 b d g |\n",
        "instrument trumpet\n| c b d g |\n",
    ),
    "no-such-string": Code(
        "error",
        "a string that this tuning does not have",
        "`strings` names the open strings, low to high; the default is E A D G.",
        "| B:3 b d g |\n",
        "strings B E A D G\n| B:3 b d g |\n",
    ),
    "off-fretboard": Code(
        "error",
        "a place that is not on the fretboard",
        "A string reaches from its open note to fret 24.",
        "| E:27 b d g |\n",
        "| E:17 b d g |\n",
    ),
    "out-of-range": Code(
        "error",
        "a pitch too low or too high to be written",
        "Every `^` and `v` is a whole octave more. MIDI numbers end at 0 and 127.",
        "| vvvvg b d g |\n",
        "| vg b d g |\n",
    ),
    "too-fine": Code(
        "error",
        "notes too short to be written",
        "The shortest value on the page is a 128th note.",
        "time 4/4\n| 1{1{gggggggggggggggg ggg} g} b d g |\n",
        "time 4/4\n| gg b d g |\n",
    ),
    "nothing-to-repeat": Code(
        "error",
        "a repeat sign with nothing before it",
        "`%` repeats the last bar that is not itself `%`, `%%` the last two bars.",
        "| % |\n",
        "| g b d g | % |\n",
    ),
    "repeat-length": Code(
        "error",
        "a repeat sign for a bar of another length",
        "`%` stands for the same bar once more, so both must be equally long: not over a change of metre, and not for "
        "a pickup or a short bar.",
        "| g b d b |\ntime 3/4\n| % |\n",
        "| g b d b |\ntime 3/4\n| g b d |\n",
    ),
    "sign-alone": Code(
        "warning",
        "a sign of the form that leads nowhere",
        "D.S. needs a segno to go back to, To Coda a coda to go on to, and a coda is reached from To Coda.",
        "| g b d b | 'ds g |\n",
        "| 'segno g b d b | 'ds g |\n",
    ),
    "no-hairpin": Code(
        "hint",
        "an end without a hairpin",
        "`'steady` ends `'cresc` or `'dim` where no dynamic does, and is nothing by itself.",
        "| 'p g b 'steady d b |\n",
        "| 'p g 'cresc b 'steady d b |\n",
    ),
    "repeat-open": Code(
        "warning",
        "a repeat that never ends",
        "A stretch that begins with `|:` ends with `:|`, before another one begins.",
        "|: g b d b | a |\n",
        "|: g b d b | a :|\n",
    ),
    "ending-open": Code(
        "warning",
        "an ending that does not turn back",
        "All endings but the last end with `:|`: there the player goes back to the start of the repeat.",
        "|: g b d b |\nending 1\n| a b |\nending 2\n| a g :|\n",
        "|: g b d b |\nending 1\n| a b :|\nending 2\n| a g |\n",
    ),
    "ending-missing": Code(
        "warning",
        "an ending whose passes before it have none",
        "Endings are counted from 1, each pass once: a player who has had the first looks for the second.",
        "|: g b d b |\nending 1\n| a b :|\nending 3\n| a g |\n",
        "|: g b d b |\nending 1\n| a b :|\nending 2\n| a g |\n",
    ),
    "no-such-section": Code(
        "error",
        "a section that does not stand before",
        "`use A` writes the bars of section `[A]` again; the section must stand further up and have those bars.",
        "[A]\n| g b d g |\nuse B\n",
        "[A]\n| g b d g |\nuse A\n",
    ),
    "empty": Code(
        "warning",
        "a draft without a bar",
        "There is nothing to engrave yet.",
        "title Later\n",
        "title Later\n| g b d g |\n",
    ),
    "not-utf8": Code(
        "error",
        "a file that is not UTF-8 text",
        "Drafts are UTF-8. Save the file again in that encoding; nothing in it was changed.",
        "title Caf\udce9\n| g |\n",
        "title Café\n| g |\n",
    ),
    "letter-flat": Code(
        "hint",
        "two notes where one flat note was probably meant",
        "After a small letter `b` is always a note of its own. The key gives the flat by itself; a flat that is not "
        "in the key takes a capital: `Eb`.",
        "key Bb\n| d eb f g |\n",
        "key Bb\n| d e f g |\n",
    ),
    "tempo-words": Code(
        "hint",
        "a number among the words of a tempo that sets no speed",
        "Only a number that stands alone at the end of the line is a number of beats a minute: `126`, `ca. 126`, "
        "`Medium swing 152`. Other words are printed as they stand.",
        "tempo 120bpm\n| g b d g |\n",
        "tempo 120\n| g b d g |\n",
    ),
    "root-letter": Code(
        "hint",
        "a small letter that the key makes another note than the chord's root",
        "Small letters go through the key: in F major `b` is B flat, also over Bdim7. The root of such a chord is "
        "typed as a capital, which means exactly what it says.",
        "key F\n| @Bdim7 b d f d |\n",
        "key F\n| @Bdim7 B d f d |\n",
    ),
    "group-changes-nothing": Code(
        "hint",
        "a group of as many words as it lasts",
        "The count before the brace says how many beat words' time a group takes, not how many notes it has: three "
        "words in the time of three are what they would be without it. A triplet of one beat is a word of three slots.",
        "| g 3{b d f} |\n",
        "| g bdf |\n",
    ),
    "tempo-beat": Code(
        "hint",
        "a number of quarters in a metre of dotted beats",
        "A number alone counts quarters, in every metre. In 6/8 or 12/8 the beat is a dotted quarter, and so is the "
        "number that a player reads as the tempo. `dotted-quarter 58` or `quarter 87` says which is meant.",
        "tempo Slow 58\ntime 12/8\n| g b d g |\n",
        "tempo Slow dotted-quarter 58\ntime 12/8\n| g b d g |\n",
    ),
    "feel-unsaid": Code(
        "hint",
        "a tempo that swings in words alone",
        "The words of a tempo are printed and no more. Swung eighths are said by `feel swing`: it prints the sign for "
        "them, and players of the exported file swing. `feel straight` says that they are even.",
        "tempo Medium swing 132\n| g b d g |\n",
        "tempo Medium swing 132\nfeel swing\n| g b d g |\n",
    ),
    "forgotten-beats": Code(
        "hint",
        "half as many beat words as in the bars around it",
        "Two words in a bar of four beats are two half notes. If a beat was forgotten the bar reads twice as slow.",
        "| g b d b | g b | g b d b |\n",
        "| g b d b | g- b- | g b d b |\n",
    ),
    "outside-range": Code(
        "hint",
        "a note that the instrument does not have",
        "Below the lowest open string, or above fret 24 of the highest; for other instruments outside their usual "
        "range. Mostly a slip of the octave: a line that goes down and down, or marks too many.",
        "| f d c a |\n",
        "| f ^d c a |\n",
    ),
    "slide-direction": Code(
        "hint",
        "a slide against its sign",
        "`/` slides up and `\\` down into the note behind it. The sign does not choose the octave: the note is the "
        "nearest one, as always.",
        "| a/g c c e |\n",
        "| a/^g c c e |\n",
    ),
    "far-leap": Code(
        "hint",
        "a first note far from the note before",
        "The first pitch of a bar is measured from `home`, so a line that has climbed falls back at the barline "
        "unless `^` says so.",
        "| g b d ^a | b a g d |\n",
        "| g b d ^a | ^^b a g d |\n",
    ),
}
