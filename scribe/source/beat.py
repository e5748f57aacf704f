"""A beat word's tokens to its slots: what belongs to a head, to a stack, to a slot, and what may not go together."""

from __future__ import annotations

import re
from collections.abc import Sequence

from lark import Token, Tree

from scribe.diagnostics import Span
from scribe.source.fault import Fault, Mend
from scribe.source.note import Note, take_apart
from scribe.source.tree import Beat, Connector, Fret, Grace, Hold, Letter, Mark, Silence, Slot, Strike, Tone

_PINNED = re.compile(r"([A-G](?:##?|n|w|b)?|[a-g](?:##?|n)?):([A-G][#b]?|[a-g]#?)$")
_LIKE_A_PLACE = re.compile(r"([A-Ga-g])(\d{1,2})(?=[-.]*(?:[ \t}]|$))")
_STRINGS = "BEADGbeadg"  # of basses in use; other letters with a digit are no places
_CHORD_NUMBERS = ("5", "6", "7", "9", "11", "13")
WAY = {"LETTER": "letters", "DEGREE": "degrees", "FRET": "frets"}


class BeatReader:
    """Reads the beat words of one bar, given its plain text. `hints` gathers remarks that leave the words alone."""

    def __init__(self, plain: str) -> None:
        self.plain = plain
        self.hints: list[Fault] = []

    def beat(self, tokens: Sequence[Token | Tree[Token]]) -> Beat:
        """Return the word made of `tokens`. Raises `Fault`."""
        word = _Word(self)
        for i, token in enumerate(tokens):
            assert isinstance(token, Token)
            kind = token.type
            if kind == "STILL":
                word.still(token)
            elif kind == "PLUS":
                word.plus = True
            elif kind == "GRACE":
                word.grace_follows(token)
            elif kind == "OPEN":
                word.open(token)
            elif kind == "CLOSE":
                word.close(token)
            else:
                after = tokens[i + 1] if i + 1 < len(tokens) else None
                word.head(token, after if isinstance(after, Token) and after.type == "CLOSE" else None)
        return word.done()


class _Word:
    __slots__ = (
        "connector", "end", "flat", "flat_end", "ghosted", "grace", "graces", "last_degree", "marks", "opened", "plus",
        "prefix", "prefix_at", "reader", "slots", "start", "string", "tones", "way", "word_start",
    )  # fmt: skip

    def __init__(self, reader: BeatReader) -> None:
        self.reader = reader
        self.slots: list[Slot] = []
        self.way = ""  # FRET, DEGREE or LETTER, as soon as one was seen
        self.string = ""  # on which a fret without one lies
        self.tones: list[Tone] = []
        self.graces: list[Grace] = []
        self.connector: Connector = ""
        self.marks: tuple[Mark, ...] = ()
        self.start = self.end = -1  # of the slot in hand
        self.word_start = -1
        self.plus = False  # a `+` came just before
        self.grace = False  # a `,` came just before
        self.prefix = ""  # connector, contour, ghost typed before `(` or `,`
        self.prefix_at = -1
        self.opened = -1  # where the open parenthesis stands
        self.ghosted = False  # a note came since
        self.last_degree = ("", -1)  # a degree typed as a digit alone, and its end, for the slip `3b`
        self.flat, self.flat_end = "", -1  # a capital with `b` and where it ends, for the hint about `Bbb`

    # --- what stands beside notes

    def still(self, token: Token) -> None:
        """A hold or a silence."""
        self.flush()
        start, end = _place(token)
        if self.prefix:
            raise Fault(
                "mark-on-hold", self.prefix_at, end, f"`{token.value}` takes no marks, found `{self.prefix}`"
            )
        span = Span(start, end)
        self.slots.append(Hold(span) if token.value == "-" else Silence(span))
        self.begin(start, end)
        self.start = -1

    def grace_follows(self, token: Token) -> None:
        start, end = _place(token)
        if self.tones:
            self.flush()
        self.grace = True
        self.keep_prefix(token.value[:-1], start)
        self.begin(start, end)

    def open(self, token: Token) -> None:
        start, end = _place(token)
        if self.opened >= 0:
            raise Fault(
                "nested-parentheses",
                end - 1,
                end,
                "parentheses for ghost notes do not nest",
                Mend("leave it out", ""),
            )
        if not self.plus and not self.grace:
            self.flush()
        self.opened, self.ghosted = end - 1, False
        self.keep_prefix(token.value[:-1], start)
        self.begin(start, end)

    def close(self, token: Token) -> None:
        start, end = _place(token)
        if self.opened < 0:
            raise Fault(
                "unmatched-parenthesis",
                start,
                start + 1,
                "`)` closes no parenthesis",
                Mend("leave it out", ""),
            )
        if not self.ghosted:
            raise Fault(
                "no-note-in-parentheses",
                self.opened,
                start + 1,
                "expected a note between parentheses: they make it a ghost note",
            )
        if len(token.value) > 1 and not self.tones:  # after a note, its marks were read with it
            raise Fault(
                "mark-on-hold",
                start + 1,
                end,
                f"expected a note before `{token.value[1:]}`, found a hold or a silence",
            )
        self.opened = -1
        self.end = end

    def keep_prefix(self, typed: str, start: int) -> None:
        if typed:
            if not self.prefix:
                self.prefix_at = start
            self.prefix += typed

    # --- notes

    def head(self, token: Token, close: Token | None) -> None:
        """One note; `close` is the `)` right after it, whose marks are the note's."""
        typed = token.value
        start, end = _place(token)
        if not self.plus and not self.grace and self.tones:
            self.flush()
        note = self.take_apart(typed, start, end, close)
        kind = note.kind
        if kind != "OTHER" and kind != self.way:
            if self.way:
                raise self.mixture(kind, typed, start, end)
            self.way = kind
        name = note.name
        if isinstance(name, Fret):
            if name.string:
                self.string = name.string
            elif self.string:
                name = Fret(self.string, name.fret)
            else:
                raise Fault(
                    "string-missing", start, end, f"expected a string before `{typed}`: none was named in this word",
                    Mend("name the string", f"A{typed}"),
                )  # fmt: skip
        elif kind == "OTHER":
            if note.pin:
                self.string = note.pin
        elif kind == "DEGREE":
            self.last_degree = (typed, end) if len(typed) == 1 else ("", -1)
        elif kind == "LETTER":
            self.double_flat(name, typed, start, end)
        span = Span(start, end)
        self.ghosted = True
        head = Tone(
            name,
            note.contour,
            note.ghost or self.opened >= 0,
            note.doubtful,
            note.meant,
            note.pin,
            span,
        )
        self.begin(start, end)
        self.prefix = ""
        if self.grace:
            self.grace = False
            if note.marks:
                raise Fault("mark-on-grace", start, end, f"a grace note takes no marks, found `{typed}`")
            self.graces.append(Grace(head, note.connector, span))
            return
        self.plus = False
        self.tones.append(head)
        if note.connector:
            if self.connector and self.connector != note.connector:
                raise Fault(
                    "two-connectors", start, end, "one connector leads to a stack, found a second one"
                )
            self.connector = note.connector
        if note.marks:
            self.marks += tuple(m for m in note.marks if m not in self.marks)

    def take_apart(self, typed: str, start: int, end: int, close: Token | None) -> Note:
        whole = typed
        if self.prefix:
            whole, start = self.prefix + whole, self.prefix_at
        if close is not None and len(close.value) > 1:
            whole, end = whole + close.value[1:], close.end_pos or end
        try:
            note = take_apart(whole)
        except Fault as fault:
            if fault.code == "degree-number" and self.way in ("LETTER", "FRET"):
                raise self.mixture("DEGREE", typed, start, end) from None
            if whole is typed:
                raise Fault(
                    fault.code, start + fault.start, start + fault.end, fault.message, *fault.mends
                ) from None
            raise Fault(fault.code, start, end, fault.message) from None
        if note.twice:
            at = (start + note.twice[0], start + note.twice[1]) if whole is typed else (start, end)
            mends = (Mend("leave one out", ""),) if whole is typed else ()
            self.reader.hints.append(Fault("mark-twice", *at, "the same mark twice on one note", *mends))
        return note

    def double_flat(self, name: object, typed: str, start: int, end: int) -> None:
        """Remember a capital with its flat, and remark on a `b` right behind it."""
        if typed[0] == "b" and start == self.flat_end:
            self.reader.hints.append(
                Fault(
                    "flat-then-b",
                    start - 2,
                    start + 1,
                    "a flat note and then the note `b`",
                    Mend(
                        f"for the one note {self.flat} double flat write `{self.flat}w`",
                        f"{self.flat}w",
                        start - 2,
                        start + 1,
                    ),
                )
            )
        self.flat_end = -1
        if isinstance(name, Letter) and name.accidental == "b" and typed[-1] == "b":
            self.flat, self.flat_end = name.letter, end

    def mixture(self, kind: str, typed: str, start: int, end: int) -> Fault:
        if kind == "LETTER" and self.way == "DEGREE" and typed == "b":
            last = self.last_degree[0] if self.last_degree[1] == start else ""
            mend = Mend("turn them round", f"b{last}", start - 1) if last else Mend("as in `b3`")
            what = f"a degree has its accidental in front, found `{last}b`"
            return Fault("misplaced-accidental", start - bool(last), end, what, mend)
        ways = f"{WAY[self.way]} and {WAY[kind]}"
        return Fault(
            "mixed-word",
            start,
            end,
            f"a word is all letters, all degrees or all frets, found {ways} with `{typed}`",
            *self.place_meant(kind, start),
        )

    def place_meant(self, kind: str, at: int) -> tuple[Mend, ...]:
        """Return the mends of a letter with a digit behind it: `A3`, `c:A2`."""
        if (self.way, kind) == ("FRET", "DEGREE"):
            digits = re.compile(r"\d{1,2}").match(self.reader.plain, at)
            if digits:
                order = "a fret has its `:`, on the same string too"
                return (Mend(order, f":{digits[0]}", at, digits.end()),)
        if (self.way, kind) != ("LETTER", "DEGREE"):
            return ()
        if pinned := _PINNED.search(self.reader.plain, self.word_start, at):
            note, string = pinned.groups()
            return (
                Mend(f"the string alone stands behind a note, as `{note}:{string}`", ""),
                Mend(
                    f"a place is the string and its fret, as `{string}:3`; fingers are found by themselves, "
                    "and `position 2` keeps the first one at the second fret"
                ),
            )
        octave = Mend("octaves are chosen with `^` and `v`, lengths by how many words share the bar")
        place = _LIKE_A_PLACE.match(self.reader.plain, self.word_start)
        if not place or place[1] not in _STRINGS:
            return (octave,)
        typed = f"{place[1].upper()}:{place[2]}"
        mends = [Mend("a place on the strings is written", typed, *place.span()), octave]
        if place[1].isupper() and place[2] in _CHORD_NUMBERS:
            mends.append(Mend("a chord symbol begins with `@`", f"@{place[0]}", *place.span()))
        return tuple(mends)

    # --- slots

    def begin(self, start: int, end: int) -> None:
        if self.start < 0:
            self.start = start
        if self.word_start < 0:
            self.word_start = start
        self.end = end

    def flush(self) -> None:
        """End the slot in hand, if one is."""
        if not self.tones:
            return
        span = Span(self.start, self.end)
        self.slots.append(Strike(tuple(self.tones), self.connector, self.marks, tuple(self.graces), span))
        self.tones, self.graces, self.connector, self.marks = [], [], "", ()
        self.start = -1

    def done(self) -> Beat:
        self.flush()
        if self.opened >= 0:
            from scribe.source.slips_words import parentheses_over_words

            raise parentheses_over_words(self.reader.plain, self.opened, self.end)
        return Beat(tuple(self.slots), Span(self.word_start, self.end))


def _place(token: Token) -> tuple[int, int]:
    return token.start_pos or 0, token.end_pos or 0
