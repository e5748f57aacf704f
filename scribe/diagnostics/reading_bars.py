"""Codes of bars: words and what may stand beside them, groups, chords, texts, directions."""

from __future__ import annotations

from scribe.diagnostics.code import Code

BARS: dict[str, Code] = {
    "unknown-sign": Code(
        "error",
        "a sign that the shorthand does not have",
        "Notes are the letters a to g, degrees 1 to 7 or frets such as `A:3`; `-` holds, `.` is silence, "
        "`x` is a dead and `u` an unheard note.",
        "| g z d g |\n",
        "| g . d g |\n",
    ),
    "misplaced-sign": Code(
        "error",
        "a sign where it cannot stand",
        "The shorthand has this sign, but not at this place.",
        "| g% b d g |\n",
        "| g b d g |\n",
    ),
    "missing-blank": Code(
        "error",
        "two words without a blank between",
        "The words of a bar, chord symbols among them, are separated by blanks. Notes that share one beat stand "
        "together.",
        '| g "fill"b d g |\n',
        '| g "fill" b d g |\n',
    ),
    "unclosed-quote": Code(
        "error",
        "a text without its closing quote",
        'Words above the staff stand between two `"` inside one bar and hold no `|`.',
        '| "fill g b d g |\n',
        '| "fill" g b d g |\n',
    ),
    "unclosed-group": Code(
        "error",
        "a group without its closing brace",
        "A group such as `2{g b d}` ends in the bar in which it begins.",
        "| g 2{b d g d |\n",
        "| g 2{b d g} d |\n",
    ),
    "unmatched-brace": Code(
        "error",
        "a closing brace without a group",
        "`}` closes a group that began with a count and a brace, as in `2{g b d}`.",
        "| g b d} g |\n",
        "| g b d g |\n",
    ),
    "group-without-count": Code(
        "error",
        "a group that does not say how long it is",
        "The count right before the brace says how many beat words' time the group takes: in `2{g b d}` "
        "three words share the time of two.",
        "| g {b d g} d |\n",
        "| g 2{b d g} d |\n",
    ),
    "group-count": Code(
        "error",
        "a group that lasts no time, or an impossible one",
        "The count before the brace is the number of beat words whose time the group takes, from 1 to 99.",
        "| g 0{b d g} d |\n",
        "| g 2{b d g} d |\n",
    ),
    "empty-group": Code(
        "error",
        "a group with nothing to play",
        "A group holds at least one beat word, a silence `.` if need be.",
        "| g 2{} d |\n",
        "| g 2{.} d |\n",
    ),
    "group-too-deep": Code(
        "error",
        "too many groups inside groups",
        "Groups may stand inside groups, but nobody could read more than eight levels.",
        "| " + "1{" * 9 + "g" + "}" * 9 + " b d g |\n",
        "| 1{g b d} b d g |\n",
    ),
    "bar-too-long": Code(
        "error",
        "a bar too long to be read",
        "A bar may have 10,000 characters.",
        "| " + "g" * 10001 + " |\n",
        "| g b d g |\n",
    ),
    "slash-first": Code(
        "error",
        "`/` with no beat word before it",
        "`/` is the beat word before it in the same bar once more. It repeats no group, no `?` and nothing "
        "from the bar before; to hold a note over the barline type `-`.",
        "| g b d g | / b d g |\n",
        "| g b d g | - b d g |\n",
    ),
    "doubled-slash": Code(
        "error",
        "`//` for two repetitions",
        "Each repetition of a beat word is a word of its own.",
        "| g // d |\n",
        "| g / / d |\n",
    ),
    "doubled-question": Code(
        "error",
        "more than one `?` in a word",
        "`?` alone is one beat still to do, or, alone in its bar, the whole bar.",
        "| g ?? d g |\n",
        "| g ? d g |\n",
    ),
    "repeat-not-alone": Code(
        "error",
        "a repeat sign beside notes",
        "`%` repeats the last bar and `%%` the last two; such a bar holds besides only chords, texts and "
        "directions.",
        "| g b d g | % d |\n",
        "| g b d g | % |\n",
    ),
    "chord-name": Code(
        "error",
        "something behind `@` that is no chord",
        "A chord symbol begins with a capital A to G, or is `N.C.`; it holds no blank and no `:` but the "
        "one behind the number of a slot, as in `@3:Cm7`.",
        "| @cm7 g b d g |\n",
        "| @Cm7 g b d g |\n",
    ),
    "chord-slot-number": Code(
        "error",
        "a chord at a slot that no beat word has",
        "`@3:Cm7` stands at the third slot of the beat word behind it; the number goes from 1 to 16.",
        "| @0:Cm7 g b d g |\n",
        "| @Cm7 g b d g |\n",
    ),
    "chord-at-end": Code(
        "error",
        "a chord with no beat word behind it",
        "A chord symbol stands before the beat word at which it sounds.",
        "| g b d g @Cm7 |\n",
        "| g b d @Cm7 g |\n",
    ),
    "two-chords": Code(
        "error",
        "two chords at one place",
        "Each chord has its own beat word, or its own slot of one, as in `@Cm7 @2:F7 gb`.",
        "| @Cm7 @F7 ga b d g |\n",
        "| @Cm7 @2:F7 ga b d g |\n",
    ),
    "unknown-direction": Code(
        "error",
        "a direction that does not exist",
        "Behind `'` at the start of a word stands a dynamic (`'ppp` to `'fff`, `'sfz`, `'cresc`), a way of "
        "playing such as `'slap` or `'palm`, or a sign of the form such as `'coda`. Other words go between "
        "double quotes.",
        "| 'slp g b d g |\n",
        "| 'slap g b d g |\n",
    ),
    "comment-sign": Code(
        "error",
        "a comment behind another sign",
        "A comment begins with `;` and goes to the end of its line.",
        "| g b d b | // the second time softer\n",
        "| g b d b | ; the second time softer\n",
    ),
    "misplaced-section": Code(
        "error",
        "a section mark inside a bar",
        "A section mark such as `[B]` stands at the start of a line.",
        "| g b d b | [B] g b d g |\n",
        "| g b d b |\n[B] | g b d g |\n",
    ),
}
