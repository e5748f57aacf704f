"""The one record for everything scribe has to say about a draft."""

from __future__ import annotations

from typing import Literal, NamedTuple

from scribe.diagnostics.span import Span

Severity = Literal["error", "warning", "hint"]


class Hint(NamedTuple):
    """A way out: an order in plain words, and, where one exists, the text to put in place of `span`."""

    text: str
    replacement: str | None = None
    span: Span | None = None

    def shift(self, by: int) -> Hint:
        """Return the hint with its span counted from `by` characters further left."""
        return Hint(self.text, self.replacement, self.span.shift(by) if self.span else None)


class Diagnostic(NamedTuple):
    """One fault or remark.

    `code` is a key of `scribe.diagnostics.codes.CODES`; `message` is lower case, without a full stop, user text in
    backticks. It holds no rendered text: `scribe.diagnostics.show` makes that.
    """

    code: str
    severity: Severity
    span: Span
    message: str
    hints: tuple[Hint, ...] = ()

    def shift(self, by: int) -> Diagnostic:
        """Return the same remark with its places counted from `by` characters further left."""
        return Diagnostic(
            self.code,
            self.severity,
            self.span.shift(by),
            self.message,
            tuple(h.shift(by) for h in self.hints),
        )
