"""The Lark grammars: where they lie, and the parsers built from them, once, when first needed."""

from __future__ import annotations

import os
from functools import lru_cache

from lark import Lark

APP = "scribe-bass"


def folder() -> str:
    """Return the folder of the grammars: inside the package when installed from a wheel, else beside it."""
    package = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
    inside = os.path.join(package, "grammar")
    return inside if os.path.isdir(inside) else os.path.join(os.path.dirname(package), "grammar")


def _cache_file(name: str) -> str | None:
    """Return where the built tables of a grammar are kept between runs; None where no place can be written to."""
    try:
        from platformdirs import user_cache_dir

        place = user_cache_dir(APP, appauthor=False)
        os.makedirs(place, exist_ok=True)
        return os.path.join(place, f"{name}.tables") if os.access(place, os.W_OK) else None
    except (OSError, RuntimeError, ImportError):
        return None


def _build(name: str, start: list[str]) -> Lark:
    with open(os.path.join(folder(), f"{name}.lark"), encoding="utf-8") as file:
        text = file.read()
    cache = _cache_file(name)
    if cache:
        try:
            return Lark(text, parser="lalr", lexer="contextual", start=start, cache=cache)
        except (OSError, ValueError):
            pass  # a cache that cannot be written (a full disk, a folder of that name) only costs time
    return Lark(text, parser="lalr", lexer="contextual", start=start)


@lru_cache(maxsize=1)
def bar_parser() -> Lark:
    """Return the parser of one bar's text."""
    return _build("bar", ["bar"])


@lru_cache(maxsize=1)
def directive_parser() -> Lark:
    """Return the parser of directive values: one start rule for each directive."""
    from scribe.source.directives import FORMS

    return _build("directive", sorted(f.rule for f in FORMS.values() if f.rule))
