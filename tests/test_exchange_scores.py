"""Scores as other programs write them: nothing in them is passed over in silence."""

from __future__ import annotations

import pytest

from scribe.exchange.draft import write_draft
from scribe.exchange.reading import take
from tests.exchange_help import bar_of, part_of, score_of


def note(pitch: str, duration: int = 4, more: str = "", behind: str = "", voice: int = 1) -> str:
    """One note, four divisions a quarter; `.` is a rest. `more` stands before its pitch, `behind` at its end."""
    kind = {16: "whole", 8: "half", 4: "quarter", 2: "eighth"}[duration]
    what = (
        "<rest/>"
        if pitch == "."
        else f"<pitch><step>{pitch[0]}</step><octave>{pitch[1]}</octave></pitch>"
    )
    return (
        f"<note>{more}{what}<duration>{duration}</duration><voice>{voice}</voice><type>{kind}</type>{behind}</note>"
    )


def notes(*pitches: str, duration: int = 4, voice: int = 1) -> str:
    """Notes of one length."""
    return "".join(note(pitch, duration, voice=voice) for pitch in pitches)


def words(text: str) -> str:
    """Words above the staff."""
    return f"<direction><direction-type><words>{text}</words></direction-type></direction>"


def sign(name: str) -> str:
    """A segno or a coda."""
    return f"<direction><direction-type><{name}/></direction-type></direction>"


def repeat_sign(kind: str, bars: int = 1) -> str:
    """`<measure-repeat>`: how a bar is printed as the sign that repeats the bar before."""
    inside = str(bars) if kind == "start" else ""
    return (
        f'<attributes><measure-style><measure-repeat type="{kind}">{inside}</measure-repeat></measure-style>'
        "</attributes>"
    )


LINE = notes("C3", "D3", "E3", "F3")
BACK = "<backup><duration>16</duration></backup>"


def draft(data: bytes, **asked: object) -> str:
    """The music lines and comments of what is made of a score, its heading left out."""
    made = write_draft(take(data, **asked).line).text  # type: ignore[arg-type]
    return "\n".join(line for line in made.splitlines() if line.lstrip()[:1] in ("|", ";", "["))


def test_an_empty_bar_under_a_repeat_sign_repeats() -> None:
    """MusicXML 4.0: `measure-repeat` "specifies a notation style for repetitions"; a bar left empty under it is not
    silence."""
    bars = [
        bar_of(LINE, 4),
        bar_of(repeat_sign("start") + note(".", 16)),
        bar_of(repeat_sign("stop") + LINE),
    ]
    assert draft(part_of(bars)) == "|c d e f|%|c d e f"
