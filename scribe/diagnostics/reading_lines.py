"""Codes of lines: directives and their values, section marks, times, barlines."""

from __future__ import annotations

from scribe.diagnostics.code import Code

_MUSIC = "| g b d g |\n"


def _value(name: str, explanation: str, wrong: str, right: str, after: str = _MUSIC) -> Code:
    return Code(
        "error",
        f"a value that `{name}` does not have",
        explanation,
        f"{name} {wrong}\n{after}",
        f"{name} {right}\n{after}",
    )


LINES: dict[str, Code] = {
    "ending-at-barline": Code(
        "error",
        "the number of an ending at a barline",
        "An ending is named on a line of its own, `ending 1` or `ending 1,2`; its bars follow on the next line. A "
        "number at a barline would be a degree of the scale.",
        "|: g b d b |\nending 1\n  | a c d c :|2 g b d g |\n",
        "|: g b d b |\nending 1\n  | a c d c :|\nending 2\n  | g b d g |\n",
    ),
    "times-as-bar": Code(
        "hint",
        "a number of times that is read as a bar",
        "How often bars are played is not said by a number: `%` plays the last bar again, `|:` and `:|` stand round "
        "several bars. `x4` is a dead note and the fourth degree.",
        "| g b d g | x4 |\n",
        "| g b d g | % | % | % |\n",
    ),
    "unknown-directive": Code(
        "error",
        "a line that is no directive and no music",
        "A line says one thing: a directive (its name, a blank, its value), a section mark such as `[A]`, "
        "music from its first `|` on, or a comment from `;` on.",
        "tmepo 120\n| g b d g |\n",
        "tempo 120\n| g b d g |\n",
    ),
    "missing-value": Code(
        "error",
        "a directive without its value",
        "A directive is its name, a blank and its value, all on one line.",
        "key\n| g b d g |\n",
        "key G minor\n| g b d g |\n",
    ),
    "sign-in-directive": Code(
        "error",
        "a sign between a directive and its value",
        "Only blanks stand between the name of a directive and its value: no `:` and no `=`. The value is "
        "taken all the same.",
        "key: G\n| g b d g |\n",
        "key G\n| g b d g |\n",
    ),
    "key-value": _value(
        "key",
        "A key is its tonic and, unless it is major, its mode: `G`, `G minor`, `Bb dorian`. The modes are "
        "major, minor, dorian, phrygian, lydian, mixolydian, aeolian, locrian, ionian.",
        "Gm",
        "G minor",
    ),
    "time-value": _value(
        "time",
        "A metre is two numbers, the lower one 1, 2, 4, 8, 16 or 32; behind them may stand the groups, "
        "which add up to the upper one: `4/4`, `12/8`, `7/8 2+2+3`.",
        "C",
        "4/4",
    ),
    "tempo-value": _value(
        "tempo",
        "A tempo is a number of quarters a minute, from 1 to 999, or of the beat named before it; words may "
        "stand in front: `126`, `dotted-quarter 92`, `Medium swing 152`. Words alone are a tempo too.",
        "120 bpm",
        "120",
    ),
    "feel-value": _value(
        "feel",
        "The feels are `straight`, `swing` (eighths), `swing 16ths`, `shuffle` and `triplet`; a ratio of "
        "long to short may follow, as in `swing 3:2`.",
        "swung",
        "swing",
    ),
    "enharmonic-value": _value(
        "enharmonic",
        "`check` warns of doubtful names, `fix` respells them on the page, `sharps` and `flats` say which "
        "names to prefer for pitches that came without one, `free` says nothing.",
        "sharp",
        "sharps",
    ),
    "degrees-value": _value(
        "degrees",
        "Degrees count from the tonic of the `key` or from the root of the `chord` in force.",
        "tonic",
        "key",
    ),
    "strings-value": _value(
        "strings",
        "A tuning names the strings from the lowest to the highest, with blanks between; an octave digit "
        "may follow a name: `E A D G`, `B E A D G`, `D A D G`.",
        "EADG",
        "E A D G",
    ),
    "home-value": _value(
        "home",
        "The octave of each bar's first note is measured from `home`: a place on the strings such as `A:0` "
        "or a sounding pitch such as `A1`.",
        "low",
        "A1",
    ),
    "pickup-value": _value(
        "pickup",
        "A pickup lasts so many beats, or parts of a beat: `1`, `1/2`, `1 1/2`.",
        "0.5",
        "1/2",
        "| g |\n| g b d g |\n",
    ),
    "short-value": _value(
        "short",
        "A short bar lasts so many beats, or parts of a beat: `2`, `1/2`, `1 1/2`.",
        "two",
        "2",
        "| g b |\n| g b d g |\n",
    ),
    "rest-value": _value(
        "rest",
        "`rest 8` is eight bars of rest, drawn as one. The number goes from 1 to 999.",
        "8 bars",
        "8",
    ),
    "ending-value": _value(
        "ending",
        "An ending names the pass or the passes it is for: `1`, `2`, `1,2`.",
        "1.",
        "1",
        "| g b d b :|\nending 2\n| g b d g |\n",
    ),
    "layout-value": _value(
        "layout",
        "`lines` keeps one source line a system, a number sets so many bars a system, `fit` fills them; "
        "`page A4` and `page letter` set the paper.",
        "A4",
        "page A4",
    ),
    "show-value": _value(
        "show",
        "What can be printed besides the notes: `tab`, `strings`, `fingers`, `positions`, `degrees`, "
        "`names`, `tones`, several with blanks between, or `none`.",
        "tabs",
        "tab",
    ),
    "position-value": _value(
        "position",
        "The hand stays at a fret, 1 to 24, or is `free`.",
        "2nd",
        "2",
    ),
    "use-value": Code(
        "error",
        "a value that `use` does not have",
        "`use` names a section further up; `up` or `down` and an interval move it, `bars 3-4` takes some of "
        "it: `use A`, `use A up P4`, `use A bars 3-4`. Intervals are P1 P4 P5 P8, M and m 2 3 6 7, A and d.",
        "[A]\n| g b d g |\nuse A up 4\n",
        "[A]\n| g b d g |\nuse A up P4\n",
    ),
    "no-barline": Code(
        "error",
        "music without its first barline",
        "A line of music begins with a barline; a section mark or a time in the recording may stand before "
        "it.",
        "g b d g |\n",
        "| g b d g |\n",
    ),
    "sign-outside-bar": Code(
        "error",
        "a direction or a text outside its bar",
        "Signs of the form, dynamics, ways of playing and texts stand inside the bar to which they belong, behind "
        "its left barline.",
        "'segno |: g b d g :|\n",
        "|: 'segno g b d g :|\n",
    ),
    "unknown-barline": Code(
        "error",
        "a barline that does not exist",
        "The barlines are `|`, `||` (double), `|:` and `:|` (a repeat begins, ends), `:|:` (both). The last "
        "bar gets its final barline by itself. An empty bar has a blank between its barlines.",
        "| g b d b ||| g b d g |\n",
        "| g b d b || g b d g |\n",
    ),
    "section-mark": Code(
        "error",
        "a section mark that is not complete",
        "A section mark is a name between brackets at the start of a line, as in `[A]` or `[Bridge]`.",
        "[A\n| g b d g |\n",
        "[A]\n| g b d g |\n",
    ),
    "recording-time": Code(
        "error",
        "a time in the recording that cannot be read",
        "Before a line of music may stand the time at which it starts in the recording: minutes and "
        "seconds, or hours, minutes and seconds, with two digits for all but the first: `0:08.2`, "
        "`1:02:03`.",
        "0:8 | g b d g |\n",
        "0:08 | g b d g |\n",
    ),
    "time-without-music": Code(
        "error",
        "a time in the recording with nothing behind it",
        "A time in the recording stands before the music that starts then, on the same line.",
        "0:08.2\n| g b d g |\n",
        "0:08.2 | g b d g |\n",
    ),
    "line-too-long": Code(
        "error",
        "a line too long to be read",
        "A line may have 50,000 characters; no system of music comes near that.",
        "| " + "g b d g | " * 5001 + "\n",
        "| g b d g |\n",
    ),
    "too-many-faults": Code(
        "error",
        "more faults than are worth listing",
        "After a hundred lines that cannot be read, or a hundred broken bars in one line, the rest is "
        "counted only. Probably the file is no draft.",
        "| " + "z | " * 101 + "\n",
        "| g b d g |\n",
    ),
}
