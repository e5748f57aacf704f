"""Faults and remarks about a draft: where they are, what they say, how to mend them."""

from scribe.diagnostics.diagnostic import Diagnostic, Hint, Severity
from scribe.diagnostics.span import Span

__all__ = ["Diagnostic", "Hint", "Severity", "Span"]
