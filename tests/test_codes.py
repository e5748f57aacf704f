"""Every code has an explanation, an example that shows it and a mend that does not."""

from __future__ import annotations

import pytest

from scribe import compile
from scribe.commands.files import decode
from scribe.diagnostics import Diagnostic
from scribe.diagnostics.codes import CODES
from scribe.diagnostics.show import Lines, record, show


def found(text: str) -> list[Diagnostic]:
    """Everything scribe has to say about the bytes of a draft."""
    decoded = decode(text.encode("utf-8", "surrogateescape"))
    return [decoded] if isinstance(decoded, Diagnostic) else list(compile(decoded).diagnostics)


@pytest.mark.parametrize("code", CODES)
def test_the_example_of_a_code_shows_it_once_and_the_mend_does_not(code: str) -> None:
    """One diagnostic for one mistake, of the severity that the table says."""
    entry = CODES[code]
    said = found(entry.example)
    if code == "too-many-faults":  # it stands behind a hundred others
        said = said[-1:]
    assert [d.code for d in said if d.code == code or d.severity != "hint"] == [code]
    assert [d.severity for d in said if d.code == code] == [entry.severity]
    assert [d.code for d in found(entry.mend) if d.code == code or d.severity != "hint"] == []


@pytest.mark.parametrize("code", CODES)
def test_every_message_is_worded_as_the_others(code: str) -> None:
    """Lower case, no full stop at the end, nothing of the parser's insides."""
    for one in found(CODES[code].example):
        assert one.message[0] == one.message[0].lower() or one.message.startswith("`")
        assert not one.message.endswith(".")
        assert "\0" not in one.message
        assert all(hint.text for hint in one.hints)
        said = one.message + "".join(hint.text for hint in one.hints)
        for inside in ("Token", "UnexpectedCharacters", "Traceback", "$END", "__ANON"):
            assert inside not in said


def test_a_diagnostic_shows_its_place_underlined() -> None:
    """`file:line:column: code: message`, the source line, carets under the place, the hint."""
    text = "key G minor\n| g b d g | g b d |\n"
    (one,) = compile(text).diagnostics
    assert show(one, Lines(text), "line.scribe").splitlines() == [
        "line.scribe:2:13: word-count: bar 2 holds 3 beat words, expected 1, 2, 4 or 8 in 4/4 (1 too few for 4)",
        "    | g b d g | g b d |",
        "                ^^^^^",
        "    hint: add 1 beat word: a note, `-` to hold on or `.` for silence",
    ]


def test_a_record_counts_columns_from_one_and_ends_behind_the_place() -> None:
    """The record for programs: line and column from 1, `end_column` behind the last character."""
    text = "title Später\n| g b d |\n"
    (one,) = compile(text).diagnostics
    assert record(one, Lines(text), "a.scribe") == {
        "code": "word-count",
        "severity": "error",
        "file": "a.scribe",
        "line": 2,
        "column": 3,
        "end_column": 8,
        "message": "bar 1 holds 3 beat words, expected 1, 2, 4 or 8 in 4/4 (1 too few for 4)",
        "hint": "add 1 beat word: a note, `-` to hold on or `.` for silence",
    }


def test_a_long_line_is_shown_around_the_place() -> None:
    """Of a very long line only the part around the fault is printed, and control characters never."""
    text = "| " + "g b d g | " * 3000 + "g b\x1b d |"
    (one,) = compile(text).diagnostics
    shown = show(one, Lines(text), "a.scribe")
    assert max(map(len, shown.splitlines())) < 200
    assert "\x1b" not in shown
    source, carets = shown.splitlines()[1:3]
    assert source[carets.index("^")] == "·"
