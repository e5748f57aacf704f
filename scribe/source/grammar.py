"""The Lark grammars: where they lie, and the parsers built from them, once, when first needed."""

from __future__ import annotations

import os
import sys
from functools import lru_cache
from typing import Literal

from lark import Lark

APP = "scribe-bass"


def folder() -> str:
    """Return the folder of the grammars: inside the package when installed from a wheel, else beside it."""
    package = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
    inside = os.path.join(package, "grammar")
    return inside if os.path.isdir(inside) else os.path.join(os.path.dirname(package), "grammar")


def _cache_folder() -> str:
    """Return the user's folder for this program's caches, as platformdirs has it.

    Where the XDG Base Directory Specification rules, its two lines are followed here: platformdirs takes longer to
    import than all bars of a tune take to read.
    """
    if sys.platform == "linux":
        base = os.environ.get("XDG_CACHE_HOME", "").strip()
        return os.path.join(base or os.path.expanduser("~/.cache"), APP)
    from platformdirs import user_cache_dir

    return user_cache_dir(APP, appauthor=False)


def _cache_file(name: str) -> str | None:
    """Return where the built tables of a grammar are kept between runs; None where no place can be written to."""
    try:
        place = _cache_folder()
        os.makedirs(place, exist_ok=True)
        return os.path.join(place, f"{name}.tables") if os.access(place, os.W_OK) else None
    except (OSError, RuntimeError, ImportError):
        return None


def _build(name: str, start: list[str], lexer: Literal["basic", "contextual"]) -> Lark:
    with open(os.path.join(folder(), f"{name}.lark"), encoding="utf-8") as file:
        text = file.read()
    cache = _cache_file(name)
    if cache:
        try:
            return Lark(text, parser="lalr", lexer=lexer, start=start, cache=cache)
        except (OSError, ValueError):
            pass  # a cache that cannot be written (a full disk, a folder of that name) only costs time
    return Lark(text, parser="lalr", lexer=lexer, start=start)


@lru_cache(maxsize=1)
def bar_parser() -> Lark:
    """Return the parser of one bar's text.

    No two of its signs can be mistaken for each other, so one scanner does for all states: quicker to start.
    """
    return _build("bar", ["bar"], "basic")


@lru_cache(maxsize=1)
def directive_parser() -> Lark:
    """Return the parser of directive values: one start rule for each directive."""
    from scribe.source.directives import FORMS

    return _build("directive", sorted(f.rule for f in FORMS.values() if f.rule), "contextual")
