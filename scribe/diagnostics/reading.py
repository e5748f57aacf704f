"""Codes of the read stage: what cannot be read in a line, a bar, a word, a note."""

from __future__ import annotations

from scribe.diagnostics.code import Code
from scribe.diagnostics.reading_bars import BARS
from scribe.diagnostics.reading_lines import LINES
from scribe.diagnostics.reading_notes import NOTES

READING: dict[str, Code] = {**LINES, **BARS, **NOTES}
