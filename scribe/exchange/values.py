"""Values of directives as they are typed: keys, tempos, feels, metres that fit a length."""

from __future__ import annotations

from fractions import Fraction

from scribe.music.inforce import Feel, Tempo
from scribe.music.key import Key
from scribe.music.metre import Metre
from scribe.music.pitch import ACCIDENTAL
from scribe.music.settings import parse_feel, parse_tempo
from scribe.source.directives import check_value

_BEATS = {"W": "whole", "H": "half", "Q": "quarter", "E": "eighth", "S": "16th"}


def key_text(key: Key) -> str:
    """Return `G`, `G minor`, `Bb dorian`."""
    name = key.letter + ACCIDENTAL[key.alter]
    return name if key.mode == "major" else f"{name} {key.mode}"


def tempo_text(tempo: Tempo) -> str | None:
    """Return `126`, `dotted-quarter 92`, `Medium swing 152`; None if no text says just that."""
    words = text_value(tempo.words)
    if tempo.bpm is None:
        text = words
    else:
        beat = _BEATS.get(tempo.value[0])
        if beat is None or tempo.value.count(".") > 1:
            return None
        named = "" if tempo.value == "Q" else f"dotted-{beat}" if tempo.value.endswith(".") else beat
        number = f"{float(tempo.bpm):.3f}".rstrip("0").rstrip(".")
        text = " ".join(part for part in (words, named, number) if part)
    made = parse_tempo(text) if text and check_value("tempo", text) is None else None
    if made is None or (made.words, made.value) != (words, tempo.value if tempo.bpm is not None else "Q"):
        return None
    return text


def feel_text(feel: Feel) -> str | None:
    """Return `swing`, `swing 16ths`, `shuffle 3:2`."""
    parts = [feel.name, "16ths" if feel.unit == "16" else ""]
    parts.append(f"{feel.ratio[0]}:{feel.ratio[1]}" if feel.ratio else "")
    text = " ".join(part for part in parts if part)
    return text if parse_feel(text) == feel else None


def metre_for(length: Fraction, like: Metre) -> Metre | None:
    """Return a metre of exactly this length, with the unit of another one if that will do."""
    for unit in (like.unit, *(u for u in (4, 8, 16, 32) if u > like.unit)):
        count = length * unit / 4
        if count.denominator == 1 and 1 <= count <= 64:
            return Metre(int(count), unit)
    return None


def text_value(text: str) -> str:
    """Return a text as a directive or a comment may hold it: one line, no sign that ends it."""
    kept = "".join(c if c.isprintable() else " " for c in text.replace(";", ","))
    return " ".join(kept.split())


def line_of_text(text: str) -> str:
    """Return a text as `title` and its like may hold it: there `;` begins a comment only behind a blank."""
    words = text.split()
    return " ".join(text_value(w[:1]) + "".join(c for c in w[1:] if c.isprintable()) for w in words).strip()
