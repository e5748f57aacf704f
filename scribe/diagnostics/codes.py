"""Every code that a diagnostic may carry: what it means, an example that shows it, the mend.

A test walks this table: each example gives its code, each mend does not.
"""

from __future__ import annotations

from scribe.diagnostics.code import Code
from scribe.diagnostics.meaning import MEANING
from scribe.diagnostics.playing import PLAYING
from scribe.diagnostics.reading import READING
from scribe.diagnostics.spelling import SPELLING

CODES: dict[str, Code] = {**READING, **MEANING, **SPELLING, **PLAYING}
