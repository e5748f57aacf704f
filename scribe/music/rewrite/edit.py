"""Changes to a text by places."""

from __future__ import annotations

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
