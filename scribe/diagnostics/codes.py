"""Every code that a diagnostic may carry: what it means, an example that shows it, the mend.

A test walks this table: each example must give exactly its code, each mend must not.
"""

from __future__ import annotations

from typing import Literal, NamedTuple


class Code(NamedTuple):
    """`explanation`: plain words for a player. `example`: a whole draft with the fault. `mend`: the same, mended."""

    severity: Literal["error", "warning", "hint"]
    title: str
    explanation: str
    example: str
    mend: str


CODES: dict[str, Code] = {}
