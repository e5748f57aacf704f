"""What another program's dynamic is in a draft: itself, the nearest one that a draft has, or else a text."""

from __future__ import annotations

from fractions import Fraction

from scribe.exchange.model import Sign
from scribe.source.directions import DIRECTIONS, near_dynamic

_LETTERS = frozenset("fmnprsz")  # of which dynamics are made (W3C SMuFL, table `Dynamics`)


def sign_of(text: str, onset: Fraction) -> tuple[Sign, str]:
    """Return the sign of a dynamic, and what it does not say (empty: nothing), in words for a comment.

    Words that only stand among the dynamics, such as `poco f`, are texts and say all there is.
    """
    name = " ".join(text.split())
    if is_dynamic(name):
        return Sign(onset, "direction", name), ""
    near = near_dynamic(name)
    if near is not None:
        return Sign(onset, "direction", near), f"the dynamic {name}, written as {near}"
    return Sign(onset, "text", name), f"the dynamic {name}, written as a text" if _LETTERS.issuperset(
        name
    ) else ""


def is_dynamic(name: str) -> bool:
    """Whether a draft has a dynamic of that name."""
    return name in DIRECTIONS and DIRECTIONS[name].kind == "dynamic"
