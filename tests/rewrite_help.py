"""What the tests of rewriting share: what sounds in a draft, and a draft moved as the command moves it."""

from __future__ import annotations

from scribe import compile
from scribe.music.interval import Interval, parse_interval
from scribe.music.rewrite.lines import first_key
from scribe.music.rewrite.target import interval_to, parse_target, signs_of
from scribe.music.rewrite.transpose import transpose


def interval(text: str) -> Interval:
    found = parse_interval(text)
    assert found is not None
    return found


def midi(text: str) -> list[int | None]:
    """Everything that sounds in a draft without errors."""
    compiled = compile(text)
    assert not [d for d in compiled.piece.diagnostics if d.severity == "error"]
    return [n.midi for n in compiled.notes]


def names(text: str) -> list[str]:
    return [str(n.pitch) for n in compile(text).notes]


def moved(text: str, where: str) -> str:
    """A draft moved as `scribe transpose` would; it must be possible."""
    target = parse_target(where)
    assert target is not None
    key = first_key(compile(text).draft)
    by = interval_to(key, target)
    assert isinstance(by, Interval), by
    result = transpose(text, by, signs_of(key, target))
    assert result.faults == ()
    return result.text
