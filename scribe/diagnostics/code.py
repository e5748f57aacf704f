"""What is known of one code."""

from __future__ import annotations

from typing import Literal, NamedTuple


class Code(NamedTuple):
    """`explanation`: plain words for a player. `example`: a whole draft with the fault. `mend`: the same, mended."""

    severity: Literal["error", "warning", "hint"]
    title: str
    explanation: str
    example: str
    mend: str
