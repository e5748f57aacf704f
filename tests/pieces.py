"""Drafts for the tests of the page: read as users type them, or made up at random, the same ones every time."""

from __future__ import annotations

import random
import re
from pathlib import Path

from scribe.engrave.sheet import prepare, system_meis
from scribe.music.piece import Piece
from scribe.pipeline import compile

DEMOS = sorted((Path(__file__).parent.parent / "demo").glob("*.scribe"))


def piece(text: str) -> Piece:
    """The compiled piece of a draft that must have no error."""
    compiled = compile(text)
    errors = [d.message for d in compiled.diagnostics if d.severity == "error"]
    assert not errors, errors
    return compiled.piece


def mei(text: str) -> str:
    """The MEI of all measures of a draft, as one system."""
    found = piece(text)
    return system_meis(prepare(found), [(0, len(found.bars))])[0].body


def heads(text: str) -> list[str]:
    """Accidental, letter and written octave of every head of a draft: `b3`, `sf4`; attributes in MEI's words."""
    out = []
    for attributes in re.findall(r"<note ([^>]*)/>", mei(text)):
        values = dict(re.findall(r'([\w.:]+)="([^"]*)"', attributes))
        out.append(f"{values['pname']}{values['oct']}" + (f":{values['accid']}" if "accid" in values else ""))
    return out


_CHORDS = ["C", "Gm7", "F#m7b5", "Bbmaj7#11", "Eb13sus4", "A7alt/C#", "N.C.", "Dbdim7", "E7b9#11", "Cmaj9?"]
_KEYS = ["C", "G minor", "Eb", "F# minor", "Ab", "D dorian", "B"]
_WORDS = [
    '"with the drums"',
    "'fff",
    "'sfz",
    "'cresc",
    "'dim",
    "'slap",
    "'palm",
    "'fingers",
    '"hold back here"',
]


def random_draft(seed: int) -> str:
    """A draft full of everything that a page can show, without any sense, without an error."""
    rng = random.Random(seed)
    lines = [f"title Study {seed}", "composer Nobody", f"key {rng.choice(_KEYS)}"]
    if rng.random() < 0.5:
        lines.append("feel " + rng.choice(["swing", "shuffle", "swing 16ths", "triplet"]))
    if rng.random() < 0.8:
        lines.append(rng.choice(["tempo 120", "tempo Slow groove 72", "tempo half 88"]))
    if rng.random() < 0.3:
        lines.append("show tab")
    if rng.random() < 0.3:
        lines.append(rng.choice(["layout fit", "layout 3", "layout page letter"]))
    for section in range(rng.randint(1, 4)):
        if rng.random() < 0.7:
            lines.append(f"[{rng.choice(['A', 'Bridge', 'Long vamp out', 'Solo'])} {section}]")
        for _ in range(rng.randint(1, 3)):
            bars = " | ".join(_bar(rng) for _ in range(rng.randint(2, 4)))
            repeat = rng.random() < 0.2
            lines.append(("|: " if repeat else "| ") + bars + (" :|" if repeat else " |"))
    return "\n".join(lines) + "\n"


def _bar(rng: random.Random) -> str:
    kind = rng.random()
    if kind < 0.05:
        return "?"
    words = []
    for _ in range(4):
        if rng.random() < 0.35:
            words.append("@" + rng.choice(_CHORDS))
        if rng.random() < 0.12:
            words.append(rng.choice(_WORDS))
        words.append(_word(rng))
    return " ".join(words)


def _word(rng: random.Random) -> str:
    if rng.random() < 0.06:
        return rng.choice([".", "?", "u"])
    if rng.random() < 0.3:
        return (
            rng.choice(["A", "D", "G", "E"])
            + f":{rng.randint(0, 14)}"
            + rng.choice(["", ">", "*", "'v", "?"])
        )
    count = rng.choice([1, 1, 1, 2, 2, 3, 4])
    word = "".join(_slot(rng, first=slot == 0) for slot in range(count))
    if rng.random() < 0.05:
        return word[:-1] + "." if word[-1] in "-x" else word + "\\." if word[-1] in "abcdefg" else word
    return word


def _slot(rng: random.Random, *, first: bool) -> str:
    if not first and rng.random() < 0.2:
        return rng.choice(["-", ".", "x"])
    before = (
        rng.choice(["", "", "", "", "~", "h", "p", "/"])
        if not first
        else rng.choice(["", "", "", "", "", "^"])
    )
    after = rng.choice(["", "", "", "", "", ">", "*", "_", "?", "'t", "'p", "'b", "'v", "'o", "'h"])
    grace = rng.choice([","]) + rng.choice("abd") if rng.random() < 0.05 else ""
    ghost = "q" if rng.random() < 0.1 else ""
    stack = "+" + rng.choice("ace") if rng.random() < 0.04 and after != "?" else ""
    return grace + before + ghost + rng.choice("abcdefg") + stack + after
