"""How the read stage reports to itself the first thing wrong in a bar or a line."""

from __future__ import annotations

from typing import NamedTuple

from scribe.diagnostics import Diagnostic, Hint, Span


class Mend(NamedTuple):
    """An order in plain words; `text` to put in place of `start`-`end` (of the fault itself where they are None)."""

    order: str
    text: str | None = None
    start: int | None = None
    end: int | None = None

    @property
    def words(self) -> str:
        """The order with the text to type in it, so that it can be read alone."""
        typed = (self.text or "").strip()
        if not typed or f"`{typed}`" in self.order or f"`{typed} …`" in self.order:
            return self.order
        joint = " " if self.order.endswith((" is", " as", " are", "type", "write", "written")) else ": "
        return f"{self.order}{joint}`{typed}`"


class Fault(Exception):
    """The first fault of a bar. Places count in the bar's plain text; it never leaves `parse_bar`."""

    def __init__(self, code: str, start: int, end: int, message: str, *mends: Mend) -> None:
        super().__init__(message)
        self.code = code
        self.start = start
        self.end = end
        self.message = message
        self.mends = mends


def line_fault(code: str, start: int, end: int, message: str, *mends: Mend) -> Diagnostic:
    """Return the error of a line as a diagnostic. Places count from the line's start."""
    hints = tuple(
        Hint(
            mend.words,
            mend.text,
            None
            if mend.text is None
            else Span(
                start if mend.start is None else mend.start,
                end if mend.end is None else mend.end,
            ),
        )
        for mend in mends
    )
    return Diagnostic(code, "error", Span(start, end), message, hints)
