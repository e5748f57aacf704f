"""A place in a text, kept as two offsets; line and column are made only when shown."""

from __future__ import annotations

from typing import NamedTuple


class Span(NamedTuple):
    """Start and end offset (end exclusive), in characters of one text.

    Inside a bar the offsets count from the start of the bar's own text, so that a bar's results stay valid
    when text elsewhere changes; `shift` makes them absolute.
    """

    start: int
    end: int

    def shift(self, by: int) -> Span:
        """Return the same place counted from `by` characters further left."""
        return Span(self.start + by, self.end + by)

    def cover(self, other: Span) -> Span:
        """Return the smallest span that holds both."""
        return Span(min(self.start, other.start), max(self.end, other.end))
