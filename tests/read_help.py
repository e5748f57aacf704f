"""Shorthands for tests of the read stage: trees as short strings, all faults of a draft with absolute places."""

from __future__ import annotations

from scribe.diagnostics import Diagnostic
from scribe.source.read import parse_bar, read
from scribe.source.tree import (
    Again,
    Beat,
    ChordWord,
    Degree,
    Direction,
    Draft,
    Fret,
    Group,
    Hold,
    Letter,
    Music,
    Repeat,
    Silence,
    Slot,
    TextWord,
    ToDo,
    Tone,
    Word,
)


def faults(draft: Draft) -> list[Diagnostic]:
    """Everything the read stage has to say about a draft, places counted from the draft's start."""
    found = list(draft.diagnostics)
    for line in draft.lines:
        if isinstance(line, Music):
            for cell in line.cells:
                found.extend(d.shift(cell.start) for d in cell.bar.diagnostics)
    return found


def codes(text: str) -> list[str]:
    """The codes of all faults of a draft."""
    return [d.code for d in faults(read(text))]


def mended(text: str, found: Diagnostic) -> str:
    """The text after the fault's first mend that has a replacement."""
    for hint in found.hints:
        if hint.replacement is not None:
            assert hint.span is not None
            return text[: hint.span.start] + hint.replacement + text[hint.span.end :]
    raise AssertionError(f"no mend for {found}")


def words(text: str) -> str:
    """The words of a good bar in a long form: `[G B D] chord C@2`. What was typed is spelled out."""
    bar = parse_bar(text)
    assert not bar.broken, bar.diagnostics
    return " ".join(_word(word) for word in bar.words)


def _word(word: Word) -> str:
    match word:
        case Beat():
            return "[" + " ".join(_slot(slot) for slot in word.slots) + "]"
        case Again():
            return "again"
        case ToDo():
            return "todo"
        case Group():
            return f"{word.beats}({' '.join(_word(w) for w in word.words)})"
        case ChordWord():
            return f"chord {word.name}@{word.slot}" + ("?" if word.doubtful else "")
        case TextWord():
            return f"text<{word.text}>"
        case Direction():
            return f"direction {word.name}"
        case Repeat():
            return f"repeat {word.bars}"


def _slot(slot: Slot) -> str:
    match slot:
        case Hold():
            return "hold"
        case Silence():
            return "silence"
        case _:
            graces = "".join(f"({g.connector}>{_tone(g.tone)})" for g in slot.graces)
            lead = f"{slot.connector}>" if slot.connector else ""
            marks = "".join(f" {mark}" for mark in slot.marks)
            return graces + lead + "+".join(_tone(t) for t in slot.tones) + marks


def _tone(tone: Tone) -> str:
    match tone.name:
        case Letter(letter, exact, accidental):
            name = (letter if exact else letter.lower()) + accidental
        case Degree(number, alter):
            name = f"{'#' * alter}{'b' * -alter}{number}"
        case Fret(string, fret):
            name = f"{string}{fret}"
        case other:
            name = str(other)
    contour = "^" * tone.contour + "v" * -tone.contour
    flags = (
        ("ghost " if tone.ghost else "")
        + ("doubtful " if tone.doubtful else "")
        + ("meant " if tone.meant else "")
    )
    return flags + contour + name + (f":{tone.pin}" if tone.pin else "")
