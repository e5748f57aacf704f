"""What the read stage makes of a text: lines, bars, words, slots. No lengths, no octaves: those come later.

Spans inside a `BarText` count from the start of the bar's own text (see `scribe.diagnostics.span`); spans of
lines and directives count from the start of the draft.

Named tuples, because making a frozen dataclass takes eight times as long and `scribe check` makes all of these at every
start. The kinds that hold nothing but a span carry their sign too, so that a hold and a silence are never equal.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Literal, NamedTuple

from scribe.diagnostics import Diagnostic, Span

# --- slots -------------------------------------------------------------------------------------------------

Connector = Literal["", "slur", "hammer", "pull", "slide up", "slide down"]
Mark = Literal[
    "accent", "staccato", "tenuto", "fall", "thumb", "popped", "harmonic", "vibrato", "bent", "held"
]  # fmt: skip


class Letter(NamedTuple):
    """A pitch by letter. `exact`: typed as a capital; `accidental`: `` (none), `#`, `##`, `n`, `b`, `bb`."""

    letter: str  # always a capital, A-G
    exact: bool
    accidental: str


class Degree(NamedTuple):
    """A pitch by degree, 1-7 of the major scale; `alter` in semitones, from -2 to 2."""

    number: int
    alter: int


class Fret(NamedTuple):
    """A pitch by place. `string` as typed (`E`, `d`, `Eb`); already filled in where the word left it out."""

    string: str
    fret: int


class Tone(NamedTuple):
    """One head: a typed pitch, or a dead (`x`) or unheard (`u`) note, with the marks of its own."""

    name: Letter | Degree | Fret | Literal["dead", "unheard"]
    contour: int  # `^` counts 1, `v` counts -1; 0 without a mark
    ghost: bool
    doubtful: bool
    meant: bool  # `=`: this spelling is meant
    pin: str | None  # the string as typed after `:`
    span: Span


class Grace(NamedTuple):
    """A grace note at the head of a slot; `connector` leads to it from the note before."""

    tone: Tone
    connector: Connector
    span: Span


class Strike(NamedTuple):
    """A slot in which something starts: one head or a stack, lowest first."""

    tones: tuple[Tone, ...]
    connector: Connector
    marks: tuple[Mark, ...]
    graces: tuple[Grace, ...]
    span: Span


class Hold(NamedTuple):
    """`-`: what was before goes on."""

    span: Span
    sign: Literal["-"] = "-"


class Silence(NamedTuple):
    """`.`"""

    span: Span
    sign: Literal["."] = "."


Slot = Strike | Hold | Silence

# --- words -------------------------------------------------------------------------------------------------


class Beat(NamedTuple):
    """A beat word."""

    slots: tuple[Slot, ...]
    span: Span


class Again(NamedTuple):
    """`/`: the beat word before it once more."""

    span: Span
    sign: Literal["/"] = "/"


class ToDo(NamedTuple):
    """`?`: this beat, or alone in its bar the whole bar, is still to do."""

    span: Span
    sign: Literal["?"] = "?"


class Group(NamedTuple):
    """`2{g b d}`: the words inside share the time of `beats` beat words."""

    beats: int
    words: tuple[Word, ...]
    span: Span


class ChordWord(NamedTuple):
    """`@Cm7`, `@3:Cm7?`: at `slot` (from 1) of the beat word that follows."""

    name: str
    slot: int
    doubtful: bool
    span: Span  # the whole word
    name_span: Span


class TextWord(NamedTuple):
    """`"text"`: words above the staff."""

    text: str
    span: Span


class Direction(NamedTuple):
    """`'mf`, `'slap`, `'coda` …: `name` without the quote sign, a key of `scribe.source.directions`."""

    name: str
    span: Span


class Repeat(NamedTuple):
    """`%` (`bars` 1) or `%%` (`bars` 2)."""

    bars: int
    span: Span


Word = Beat | Again | ToDo | Group | ChordWord | TextWord | Direction | Repeat


class BarText(NamedTuple):
    """One bar's own text, parsed alone. A bar with an error in `diagnostics` has no words."""

    text: str
    words: tuple[Word, ...]
    diagnostics: tuple[Diagnostic, ...]  # spans inside the bar

    @property
    def broken(self) -> bool:
        return any(d.severity == "error" for d in self.diagnostics)


# --- lines -------------------------------------------------------------------------------------------------

Barline = Literal["single", "double", "repeat start", "repeat end", "repeat both"]


class BarCell(NamedTuple):
    """A bar in its line: its text, where that text starts in the draft, and the barlines typed around it.

    `left` is None when the bar's left barline is the right one of the bar before in the same line; `right` is None
    when the line ended without a barline.
    """

    bar: BarText
    start: int
    left: Barline | None
    right: Barline | None

    @property
    def span(self) -> Span:
        return Span(self.start, self.start + len(self.bar.text))


class Directive(NamedTuple):
    """`word value`. The grammar has checked the form of the value; `scribe.music.settings` says what it means."""

    name: str
    text: str  # the value as typed, outer blanks and comment removed
    span: Span  # the whole line without its comment
    value_span: Span


class Music(NamedTuple):
    """A line of music, or a section mark alone (`cells` empty)."""

    section: str | None
    section_span: Span | None
    time: Fraction | None  # seconds into the recording at which the first bar starts
    continues: bool  # the line begins with a blank: it goes on in the system above
    cells: tuple[BarCell, ...]
    span: Span


Line = Directive | Music


class Draft(NamedTuple):
    """A whole text as read. `lines` holds only lines that say something, in order (blank lines and comments do not).

    `diagnostics` holds the faults of lines and directives (absolute spans); faults inside a bar stay with its
    `BarText`.
    """

    text: str
    lines: tuple[Line, ...]
    diagnostics: tuple[Diagnostic, ...]
