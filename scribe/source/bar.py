"""One bar's text to its words and slots: `parse_bar`."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import fields, is_dataclass
from functools import lru_cache
from typing import Any

from lark import Token, Tree
from lark.exceptions import UnexpectedCharacters, UnexpectedInput, UnexpectedToken

from scribe.diagnostics import Diagnostic, Hint, Severity, Span
from scribe.source.beat import BeatReader
from scribe.source.directions import DIRECTIONS
from scribe.source.fault import Fault, Mend
from scribe.source.grammar import bar_parser
from scribe.source.plain import FORBIDDEN, plain_bar
from scribe.source.tree import (
    Again,
    BarText,
    ChordWord,
    Direction,
    Group,
    Repeat,
    TextWord,
    ToDo,
    Word,
)
from scribe.source.words import check_words

LONGEST_BAR = 10_000  # characters; sixty-four words of sixteen slots with two marks each are far shorter
DEEPEST_GROUP = 8
MOST_SLOT = 16
# Names that the marks might have and whose letters are slots as well; what stands between double quotes is passed over.
_SWALLOWED = re.compile(r"\"[^\"]*\"|(?<![ \t{])'(bend|ten)(?![A-Za-z])", re.IGNORECASE)


@lru_cache(maxsize=1024)
def parse_bar(text: str) -> BarText:
    """Read one bar's own text (no barlines, no comment). Never raises.

    All spans count from the start of `text`. A bar with a fault has one diagnostic of severity error and no words;
    hints alone leave the words as they are.
    """
    plain, places = plain_bar(text)
    where = Places(text, plain, places)
    reader = _Reader(plain)
    try:
        words = reader.bar()
    except Fault as fault:
        return BarText(text, (), (_diagnostic(fault, "error", where),))
    hints = tuple(_diagnostic(hint, "hint", where) for hint in reader.beats.hints)
    return BarText(text, words if plain is text else where.move(words), hints)


class _Reader:
    """Builds the words of one bar. Places count in its plain text."""

    def __init__(self, plain: str) -> None:
        self.plain = plain
        self.beats = BeatReader(plain)

    def bar(self) -> tuple[Word, ...]:
        if len(self.plain) > LONGEST_BAR:
            raise Fault(
                "bar-too-long",
                0,
                len(self.plain),
                f"a bar of {len(self.plain):,} characters is more than can be read",
            )
        forbidden = FORBIDDEN.search(self.plain)
        if forbidden:
            what = f"unknown sign `U+{ord(forbidden[0]):04X}`"
            raise Fault("unknown-sign", *forbidden.span(), what, Mend("leave it out", ""))
        _quotes_and_groups(self.plain)
        try:
            tree = bar_parser().parse(self.plain)
        except UnexpectedInput as unexpected:
            from scribe.source.slips import diagnose  # only needed when something is wrong

            raise diagnose(self.plain, _place(unexpected, self.plain)) from None
        words = self.words(tree.children)
        check_words(words, self.plain)
        if "'" in self.plain:
            for found in _SWALLOWED.finditer(self.plain):
                if found[1]:
                    from scribe.source.other_names import MARK_NAMES
                    from scribe.source.slips_words import named_mark

                    name = found[1].lower()
                    raise named_mark(name, MARK_NAMES[name], *found.span())
        return words

    def words(self, parts: Sequence[Token | Tree[Token]]) -> tuple[Word, ...]:
        words: list[Word] = []
        for part in parts:
            if isinstance(part, Token):
                words.append(self.small_word(part))
            elif part.data == "beat":
                words.append(self.beats.beat(part.children))
            else:
                words.append(self.group(part.children))
        return tuple(words)

    def group(self, parts: Sequence[Token | Tree[Token]]) -> Group:
        first, last = parts[0], parts[-1]
        assert isinstance(first, Token)
        assert isinstance(last, Token)
        start, end = first.start_pos or 0, last.end_pos or 0
        count = first.value[:-1]
        if len(count) > 2 or int(count) == 0:
            raise Fault(
                "group-count",
                start,
                start + len(count),
                f"expected the number of beat words that the group lasts, found `{count}`",
                Mend("three words in the time of two have the count `2`", "2"),
            )
        return Group(int(count), self.words(parts[1:-1]), Span(start, end))

    def small_word(self, token: Token) -> Word:
        kind, typed = token.type, token.value
        start, end = token.start_pos or 0, token.end_pos or 0
        span = Span(start, end)
        if kind == "AGAIN":
            return Again(span)
        if kind == "TODO":
            return ToDo(span)
        if kind == "REPEAT":
            return Repeat(len(typed), span)
        if kind == "TEXT":
            return TextWord(typed[1:-1], span)
        if kind == "CHORD":
            return self.chord(typed, start, end)
        name = typed[1:].lower()
        if name not in DIRECTIONS:
            from scribe.source.slips_words import unknown_direction

            raise unknown_direction(self.plain, start, end)
        return Direction(name, span)

    def chord(self, typed: str, start: int, end: int) -> ChordWord:
        number, colon, name = typed[1:].rpartition(":")
        slot = int(number[:4]) if colon else 1
        if not 1 <= slot <= MOST_SLOT:
            raise Fault(
                "chord-slot-number",
                start + 1,
                start + 1 + len(number),
                f"expected a slot from 1 to {MOST_SLOT} of the word that follows, found `{number}`",
            )
        doubtful = name.endswith("?")
        name_span = Span(end - len(name), end - doubtful)
        return ChordWord(name[:-1] if doubtful else name, slot, doubtful, Span(start, end), name_span)


class Places:
    """From places of a bar's plain text to those of the text as typed."""

    def __init__(self, text: str, plain: str, table: tuple[int, ...] | None) -> None:
        self.text = text
        self.plain = plain
        self.table = table

    def span(self, start: int, end: int) -> Span:
        if self.table is None:
            return Span(start, end)
        first = self.table[start]
        return Span(first, max(first, self.table[end - 1] + 1) if end > start else first)

    def move(self, thing: Any) -> Any:
        """Return a piece of the tree with its spans moved, and words above the staff as they were typed."""
        if isinstance(thing, Span):
            return self.span(*thing)
        if isinstance(thing, TextWord):
            span = self.span(*thing.span)
            return TextWord(self.text[span.start + 1 : span.end - 1], span)
        if isinstance(thing, tuple):
            parts = [self.move(part) for part in thing]
            return type(thing)(*parts) if hasattr(thing, "_fields") else tuple(parts)
        if is_dataclass(thing) and not isinstance(thing, type):
            return type(thing)(*(self.move(getattr(thing, field.name)) for field in fields(thing)))
        return thing

    def underlined(self, start: int, end: int) -> Span:
        """Return a place that can be shown: one character wide at least, inside the bar (unless it is empty)."""
        end = min(max(end, start + 1), len(self.plain))
        return self.span(min(start, max(0, end - 1)), end)


def _diagnostic(fault: Fault, severity: Severity, places: Places) -> Diagnostic:
    hints = []
    for mend in fault.mends:
        start = fault.start if mend.start is None else mend.start
        end = fault.end if mend.end is None else mend.end
        hints.append(Hint(mend.words, mend.text, None if mend.text is None else places.span(start, end)))
    return Diagnostic(
        fault.code, severity, places.underlined(fault.start, fault.end), fault.message, tuple(hints)
    )


def _place(unexpected: UnexpectedInput, plain: str) -> int:
    """Return where the parser could not go on; the text's length where something is missing at its end."""
    if isinstance(unexpected, UnexpectedCharacters):
        return unexpected.pos_in_stream or 0
    if isinstance(unexpected, UnexpectedToken) and unexpected.token.type != "$END":
        return unexpected.token.start_pos or 0
    return len(plain)


def _quotes_and_groups(plain: str) -> None:
    """Raise for a quote without its other half, and for groups nested too deep to be meant."""
    if plain.count('"') % 2:
        at = plain.rindex('"')
        raise Fault(
            "unclosed-quote",
            at,
            len(plain),
            'expected a closing `"` before the barline',
            Mend("close the text", plain[at:].rstrip() + '"'),
        )
    if plain.count("{") > DEEPEST_GROUP:
        depth = 0
        for at, sign in enumerate(plain):
            depth += (sign == "{") - (sign == "}")
            if depth > DEEPEST_GROUP:
                raise Fault(
                    "group-too-deep", at, at + 1, f"groups inside groups go no deeper than {DEEPEST_GROUP}"
                )
