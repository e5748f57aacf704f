"""Usual slips between words: braces, quotes, chords, repetitions, directions."""

from __future__ import annotations

import re

from scribe.source.directions import DIRECTIONS, MARKS
from scribe.source.fault import Fault, Mend
from scribe.source.spot import ALPHABET, BLANK, NAME, NOTE_SIGNS, Slip, Spot, blank_missing, slip, unfinished
from scribe.source.suggest import nearest


def unknown_direction(typed: str, start: int, end: int) -> Fault:
    """Return the fault of a word `'…` that is no direction."""
    name = typed[1:].lower()
    mends: tuple[Mend, ...] = ()
    near = nearest(name, tuple(DIRECTIONS))
    glued = next(
        (k for k in sorted(DIRECTIONS, key=len, reverse=True) if name.startswith(k) and len(k) > 1), None
    )
    if f"'{name[:1]}" in MARKS and name[1:] and set(name[1:]) <= set(NOTE_SIGNS.lower()):
        mends = (Mend("a mark stands behind its note", f"{typed[2:]}{typed[:2]}"),)
    elif f"'{name}" in MARKS:
        mends = (Mend("a mark stands right behind its note, without a blank"),)
    elif glued and near != name and set(name[len(glued) :]) <= set(ALPHABET):
        mends = (Mend("put a blank behind the direction", f"'{glued} {typed[1 + len(glued) :]}"),)
    elif near:
        mends = (Mend(f"did you mean `'{near}`?", f"'{near}"),)
    return Fault("unknown-direction", start, end, f"unknown direction `{typed}`", *mends)


# --- what the entries say, in the order of the table


def _group_left_open(spot: Spot, _: re.Match[str]) -> Fault | None:
    opened: list[int] = []
    for found in re.finditer(r'"[^"]*"|[{}]', spot.text):
        if found[0] == "{":
            opened.append(found.start())
        elif found[0] == "}" and opened:
            opened.pop()
    if not opened:
        return None
    at = opened[0]
    while at and spot.text[at - 1].isdigit():
        at -= 1
    if at == opened[0]:
        return None  # without a count: said elsewhere
    end = len(spot.text.rstrip())
    return Fault(
        "unclosed-group", at, end, "expected `}` before the barline", Mend("close the group", "}", end, end)
    )


def _brace(spot: Spot, _: re.Match[str]) -> Fault:
    open_before = spot.text[: spot.at].count("{") > spot.text[: spot.at].count("}")
    if not open_before:
        return Fault("unmatched-brace", spot.at, spot.at + 1, "`}` closes no group", Mend("leave it out", ""))
    if spot.at and spot.text[spot.at - 1] in "{ \t":
        return Fault("empty-group", spot.at, spot.at + 1, "expected a beat word in the group")
    return unfinished(spot)


def _group_without_count(spot: Spot, _: re.Match[str]) -> Fault:
    at = spot.at
    before = spot.text[:at].rstrip(BLANK)
    if before and before[-1].isdigit() and len(before) < at:
        start = len(before) - 1
        mend = Mend("no blank between the count and the brace", before[-1] + "{", start, at + 1)
        return Fault("group-without-count", start, at + 1, "a group begins with its count", mend)
    if spot.start < at:
        return blank_missing(spot)
    mend = Mend("say how many beat words the group lasts: `2{` is a triplet over two", "2{")
    return Fault("group-without-count", at, at + 1, "expected a count before `{`", mend)


def _chord(spot: Spot, _: re.Match[str]) -> Fault:
    if spot.start < spot.at and spot.text[spot.at] == "@":
        return blank_missing(spot)
    word = spot.text[spot.start : spot.end]
    name = re.sub(r"^@(\d+:)?", "", word)
    start = spot.end - len(name)
    expected = "expected the name of a chord, beginning with a letter A to G (or N for `N.C.`)"
    if not name:
        return Fault("chord-name", spot.start, spot.end, f"{expected}, found `{word}`")
    found = f"{expected}, found `{name}`"
    if name[0] in "abcdefg" and ":" not in name:
        return Fault(
            "chord-name",
            start,
            spot.end,
            found,
            Mend("chords begin with a capital", name[0].upper() + name[1:]),
        )
    if name[0] == "n":
        return Fault("chord-name", start, spot.end, found, Mend("no chord is `N.C.`", "N.C."))
    if slot := re.match(r"(\d{1,2})([A-GN][^:]*)$", name):
        mend = Mend("a slot's number ends with `:`", f"{slot[1]}:{slot[2]}")
        return Fault("chord-name", start, spot.end, found, mend)
    if ":" in name:
        what = f"a chord's name holds no `:`, found `{name}`"
        mends = [Mend("leave the `:` out", name.replace(":", ""))] if "A" <= name[0] <= "G" else []
        return Fault("chord-name", start, spot.end, what, *mends)
    return Fault("chord-name", start, spot.end, found)


def _section(spot: Spot, _: re.Match[str]) -> Fault:
    close = spot.text.find("]", spot.at)
    end = close + 1 if close >= 0 else spot.at + 1
    what = "a section mark stands at the start of a line"
    return Fault("misplaced-section", spot.at, end, what, Mend("begin a new line with it"))


def _slashes(spot: Spot, found: re.Match[str]) -> Fault:
    mend = Mend("two repetitions are two words", " ".join(found[0]))
    return Fault("doubled-slash", spot.at, found.end(), f"expected `/`, found `{found[0]}`", mend)


def _repeats(spot: Spot, found: re.Match[str]) -> Fault:
    what = f"expected `%` or `%%`, found `{spot.text[spot.start : found.end()]}`"
    return Fault("repeat-not-alone", spot.start, found.end(), what, Mend("the last two bars again are", "%%"))


def _doubt_first(spot: Spot, found: re.Match[str]) -> Fault:
    what = "`?` stands behind its note, found it before one"
    return Fault(
        "mark-before-note",
        spot.at - 1,
        found.end(),
        what,
        Mend("turn them round", found[0] + "?", spot.at - 1),
    )


def _doubled_doubt(spot: Spot, found: re.Match[str]) -> Fault:
    what = "one `?` stands for a beat to do, found more"
    return Fault("doubled-question", spot.at, found.end(), what, Mend("leave the others out", ""))


def _glued_direction(spot: Spot, _: re.Match[str]) -> Fault | None:
    for found in re.finditer(r"'([a-z]+)", spot.text[spot.start : spot.end]):
        start, end = spot.start + found.start(), spot.start + found.end()
        name = found[1]
        if start <= spot.at <= end and len(name) > 1:
            note = spot.text[spot.start : start] + spot.text[end : spot.end]
            if name in DIRECTIONS:
                what = f"`'{name}` is a direction: a word of its own, before the note"
                return Fault(
                    "unknown-mark",
                    start,
                    end,
                    what,
                    Mend("put it first", f"'{name} {note}", spot.start, spot.end),
                )
    return None


def _glued(spot: Spot, _: re.Match[str]) -> Fault:
    return blank_missing(spot)


WORD_SLIPS: tuple[Slip, ...] = (
    slip("", r"$", _group_left_open),
    slip("", r"\}", _brace),
    slip("", r"\{", _group_without_count),
    slip("[^ ]", r'"', _glued),
    slip("", r"[@]", _chord),
    slip("@.*", r"", _chord),
    slip("", r"[\[\]]", _section),
    slip("", r"//+", _slashes),
    slip(r"\?", r"\?+", _doubled_doubt),
    slip(r"^\?", NAME, _doubt_first),
    slip(r"^%+", r"%+", _repeats),
    slip(r"^(?:%+|/|\?|.*\}|\".*\"|'[a-z]+)", r"[^ ]", _glued),
    slip("", r"'?[a-z]*", _glued_direction),
)
