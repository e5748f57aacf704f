"""Names of notes as other languages say them, in chord symbols: `Cis`, `Es`, `H`."""

from __future__ import annotations

import re

# German, Dutch and the Scandinavian languages (common practice, no source).
_SHARP = re.compile(r"(^|/)([A-Ha-h])is(?=$|[^a-z]|m|dim|add|sus|aug)")
_FLAT = re.compile(r"(^|/)(?:([B-DFGHb-dfgh])es|([AEae])s)(?=$|[^a-z]|m|dim|add|sus(?!$)|aug)")
_OWN = re.compile(r"(^|/)[Hh](?=$|[^a-z]|m|dim|add|sus|aug)")
_SMALL = re.compile(r"/([a-g])(?=[#b]?$)")


def plain_names(chord: str) -> str:
    """Return a chord symbol with its root and its bass named as scribe names them: `Cis7` is C#7, `Am/h` is Am/B."""

    def flat(found: re.Match[str]) -> str:
        return found[1] + _letter(found[2] or found[3]) + "b"

    def sharp(found: re.Match[str]) -> str:
        return found[1] + _letter(found[2]) + "#"

    named = _OWN.sub(r"\1B", _FLAT.sub(flat, _SHARP.sub(sharp, chord)))
    return _SMALL.sub(lambda found: "/" + found[1].upper(), named)


def _letter(typed: str) -> str:
    return "B" if typed in "Hh" else typed.upper()


def other_note(word: str) -> str | None:
    """Return a note named in another language as it is typed here: `fis` is f#, `es` is Eb; else None."""
    found = re.fullmatch(r"([a-hA-H])(is|es)|([aeAE])s|([a-gA-G])[- ]?(flat|sharp)", word)
    if not found:
        return None
    letter = _letter(found[1] or found[3] or found[4]).upper()
    if (found[2] or found[5]) in ("is", "sharp"):
        return letter.lower() + "#"
    return letter + "b"
