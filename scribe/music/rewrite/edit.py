"""Changes to a text by places."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import NamedTuple

from scribe.diagnostics import Span


class Edit(NamedTuple):
    """Put `text` in place of `span`."""

    span: Span
    text: str

    def shift(self, by: int) -> Edit:
        return Edit(self.span.shift(by), self.text)


def apply(text: str, edits: Iterable[Edit]) -> str:
    """Return the text with all edits made; their places count in `text` as it is, none may lie over another.

    What is put in at one place stands there in the order given.
    """
    parts: list[str] = []
    at = 0
    for edit in sorted(edits, key=lambda edit: edit.span):
        if edit.span.start < at:
            raise ValueError("two edits of one place")
        parts += [text[at : edit.span.start], edit.text]
        at = edit.span.end
    return "".join((*parts, text[at:]))


def joined(text: str, edits: Iterable[Edit]) -> Edit:
    """Return one edit that does what several do, with the text between them."""
    ordered = sorted(edits)
    whole = Span(ordered[0].span.start, ordered[-1].span.end)
    inside = [edit.shift(-whole.start) for edit in ordered]
    return Edit(whole, apply(text[whole.start : whole.end], inside))


_WORD = re.compile(r"[^ \t\r\n]*")
_BLANKS = re.compile(r" +")
_PADDED = re.compile(r"\S {2,}\S")


def aligned(text: str, edits: Iterable[Edit]) -> list[Edit]:
    """Return the edits, and with them what keeps the columns of lines that were aligned: those with runs of blanks.

    The blanks behind a word give way when it gets longer, down to one, and fill up when it gets shorter.
    """
    ordered = sorted(edits, key=lambda edit: edit.span)
    done: list[Edit] = []
    longer = 0  # by how much the word has grown so far
    for index, edit in enumerate(ordered):
        done.append(edit)
        longer += len(edit.text) - (edit.span.end - edit.span.start)
        word = _WORD.match(text, edit.span.end)
        assert word is not None
        if index + 1 < len(ordered) and ordered[index + 1].span.start <= word.end():
            continue
        blanks = _BLANKS.match(text, word.end())
        if blanks and longer and _PADDED.search(_line(text, edit.span.start)):
            count = max(1, len(blanks[0]) - longer)
            done.append(Edit(Span(*blanks.span()), " " * count))
        longer = 0
    return done


def _line(text: str, at: int) -> str:
    end = text.find("\n", at)
    return text[text.rfind("\n", 0, at) + 1 : end if end >= 0 else len(text)]
