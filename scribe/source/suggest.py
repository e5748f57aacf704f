"""The nearest known word to a mistyped one."""

from __future__ import annotations

from functools import lru_cache


@lru_cache(maxsize=512)
def nearest(word: str, known: tuple[str, ...]) -> str | None:
    """Return the word of `known` that `word` was probably meant to be, or None.

    A known word of which `word` is the beginning (two letters at least) wins over one that is merely alike.
    """
    if not word or len(word) > 40:
        return None
    low = word.lower()
    if low in known:
        return low
    begun = [k for k in known if len(low) > 1 and k.lower().startswith(low)]
    if len(begun) == 1:
        return begun[0]
    from difflib import get_close_matches  # only when something is wrong: it is slow to import

    found = get_close_matches(low, known, 1, 0.6)
    return found[0] if found else None
