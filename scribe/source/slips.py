"""The usual slips: what stands where the grammar could not go on, to a fault that a player understands.

`SLIPS` is read from the top; the first entry whose two patterns match at the fault wins. To teach scribe a new
slip, add an entry, its code to `scribe.diagnostics.reading`, and a line to the test of slips.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import NamedTuple

from scribe.source.directions import DIRECTIONS, MARKS
from scribe.source.fault import Fault, Mend
from scribe.source.suggest import nearest

NOTE_SIGNS = "abcdefgABCDEFG1234567xu"
ALPHABET = NOTE_SIGNS + "#nw089-.~hpqv^/\\>*_='?,+:()@%{}\""
_BLANK = " \t"
_END = r"(?=[ \t}]|$)"


class Spot(NamedTuple):
    """Where the parser stopped: the bar's text, the place, and the word around it."""

    text: str
    at: int
    start: int  # of the word
    end: int

    @property
    def word(self) -> str:
        return self.text[self.start : self.end]


class Slip(NamedTuple):
    """`behind` must match up to the fault (the word so far), `ahead` from it on; then `say` makes the fault.

    `say` gets the spot and the match of `ahead`; it may return None to let the next entry try.
    """

    behind: re.Pattern[str]
    ahead: re.Pattern[str]
    say: Callable[[Spot, re.Match[str]], Fault | None]


def diagnose(text: str, at: int) -> Fault:
    """Return what is wrong at a place of a bar's text where the parser could not go on (its length: at the end)."""
    start = at
    while start and text[start - 1] not in _BLANK and not (text[start - 1] == "{" and start < at):
        start -= 1
    end = at
    while end < len(text) and text[end] not in _BLANK and text[end] != "}":
        end += 1
    spot = Spot(text, at, start, end)
    so_far = text[start:at]
    for slip in SLIPS:
        found = slip.ahead.match(text, at)
        if found and slip.behind.search(so_far):
            fault = slip.say(spot, found)
            if fault:
                return fault
    return _cannot_stand(spot)


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
    return _unfinished(spot)


def _group_without_count(spot: Spot, _: re.Match[str]) -> Fault:
    at = spot.at
    before = spot.text[:at].rstrip(_BLANK)
    if before and before[-1].isdigit() and len(before) < at:
        start = len(before) - 1
        mend = Mend("no blank between the count and the brace", before[-1] + "{", start, at + 1)
        return Fault("group-without-count", start, at + 1, "a group begins with its count", mend)
    if spot.start < at:
        return _blank_missing(spot)
    mend = Mend("say how many beat words the group lasts: `2{` is a triplet over two", "2{")
    return Fault("group-without-count", at, at + 1, "expected a count before `{`", mend)


def _text_glued(spot: Spot, _: re.Match[str]) -> Fault:
    return _blank_missing(spot)


def _blank_missing(spot: Spot) -> Fault:
    at = spot.at
    if (
        spot.start < at
        and (digits := re.search(r"\d+$", spot.text[spot.start : at]))
        and spot.text[at] == "{"
    ):
        at -= len(digits[0])
    what = f"words are separated by blanks, found `{spot.text[at]}` right behind another word"
    return Fault("missing-blank", at, at + 1, what, Mend("put a blank between", " ", at, at))


def _chord(spot: Spot, _: re.Match[str]) -> Fault:
    if spot.start < spot.at and spot.text[spot.at] == "@":
        return _blank_missing(spot)
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
        mend = Mend("leave the `:` out", name.replace(":", "").capitalize()) if name[0].isalpha() else None
        what = f"a chord's name holds no `:`, found `{name}`"
        return Fault("chord-name", start, spot.end, what, *([mend] if mend and "A" <= name[0] <= "G" else []))
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


def _mark_on_hold(spot: Spot, found: re.Match[str]) -> Fault:
    before = spot.text[spot.at - 1]
    what = "a hold" if before == "-" else "a silence"
    code = "accidental-without-note" if found[0][0] in "#nw" else "mark-on-hold"
    return Fault(
        code, spot.at, found.end(), f"{what} takes no marks, found `{found[0]}`", Mend("leave it out", "")
    )


def _before_hold(spot: Spot, found: re.Match[str]) -> Fault:
    what = f"expected a note behind `{found[1]}`, found `{found[2]}`"
    return Fault("mark-on-hold", spot.at, found.end(1), what, Mend("leave it out", ""))


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


def _unknown_mark(spot: Spot, found: re.Match[str]) -> Fault:
    mends = [Mend("the marks are " + ", ".join(f"`{m}`" for m in MARKS))]
    return Fault("unknown-mark", spot.at, found.end(), f"unknown mark `{found[0]}`", *mends)


def _accidentals(spot: Spot, found: re.Match[str]) -> Fault:
    start = spot.at - len(re.search(r"[#nwb]*$", spot.text[: spot.at])[0])  # type: ignore[index]
    what = f"a note has one accidental, found `{spot.text[start : found.end()]}`"
    return Fault("too-many-accidentals", spot.at, found.end(), what, Mend("leave one out", ""))


def _double_flat(spot: Spot, _: re.Match[str]) -> Fault:
    at, letter = spot.at, spot.text[spot.at - 1]
    what = f"a double flat goes with a capital, found `{letter}w`"
    return Fault("double-flat-small", at - 1, at + 1, what, Mend("type the capital", letter.upper() + "w"))


def _other_accidental(spot: Spot, found: re.Match[str]) -> Fault:
    what = "a dead note" if spot.text[spot.at - 1] == "x" else "an unheard note"
    message = f"{what} takes no accidental, found `{found[0]}`"
    return Fault("accidental-without-note", spot.at, found.end(), message, Mend("leave it out", ""))


def _accidental_first(spot: Spot, found: re.Match[str]) -> Fault:
    sign, letter = found[1], found[2]
    what = f"a letter has its accidental behind it, found `{found[0]}`"
    typed = (letter.upper() if sign == "w" else letter) + sign
    return Fault("misplaced-accidental", spot.at, found.end(), what, Mend("turn them round", typed))


def _accidental_last(spot: Spot, found: re.Match[str]) -> Fault:
    digit = spot.text[spot.at - 1]
    what = f"a degree has its accidental in front, found `{digit}{found[0]}`"
    mend = Mend("turn them round", found[0] + digit, spot.at - 1, found.end())
    return Fault("misplaced-accidental", spot.at - 1, found.end(), what, mend)


def _accidental_alone(spot: Spot, found: re.Match[str]) -> Fault:
    return Fault("accidental-without-note", spot.at, found.end(), f"`{found[0]}` belongs to no note")


def _mark_first(spot: Spot, found: re.Match[str]) -> Fault:
    what = f"a mark stands behind its note, found `{found[1]}` before it"
    return Fault("mark-before-note", spot.at, found.end(), what, Mend("turn them round", found[2] + found[1]))


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


def _bad_string(spot: Spot, found: re.Match[str]) -> Fault:
    at, name = spot.at, found[1]
    if name == "x" and spot.text[at - 1 : at].isalpha():
        string = spot.text[at - 1]
        mend = Mend("a dead note on a string is", f"x:{string}", at - 1, found.end())
        return Fault("string-name", at - 1, found.end(), "a fret is a number, found `x`", mend)
    what = f"expected the name of a string (A to G) or a fret behind `:`, found `{name}`" if name else (
        "expected the name of a string or a fret behind `:`"
    )  # fmt: skip
    return Fault("string-name", at, found.end(), what)


def _grace(spot: Spot, _: re.Match[str]) -> Fault:
    comma = spot.text.rfind(",", spot.start, spot.at + 1)
    at = comma if comma >= 0 else spot.at
    if spot.text[spot.at : spot.at + 1] == "+" and comma >= 0:
        return Fault("grace-alone", at, spot.at + 1, "a grace note is one note, found a stack")
    if spot.at <= comma + 1:
        return Fault("grace-alone", at, at + 1, "expected a grace note behind `,`")
    typed = spot.text[at : spot.at]
    what = f"expected a note behind the grace note `{typed}`"
    return Fault(
        "grace-alone", at, max(spot.at, at + 1), what, Mend("a grace note leads to a note of the same word")
    )


def _stack(spot: Spot, _: re.Match[str]) -> Fault:
    at = spot.at if spot.text[spot.at : spot.at + 1] == "+" else spot.text.rfind("+", 0, spot.at)
    return Fault("stack-without-note", at, at + 1, "`+` joins two notes, found none on one side of it")


def _open(spot: Spot, found: re.Match[str]) -> Fault:
    at = spot.text.rfind("(", 0, spot.at + 1)
    sign = found[0]
    if sign == ")":
        return Fault("no-note-in-parentheses", at, spot.at + 1, "expected a note between the parentheses")
    if sign == "(":
        return Fault(
            "nested-parentheses",
            spot.at,
            spot.at + 1,
            "parentheses for ghost notes do not nest",
            Mend("leave it out", ""),
        )
    return Fault("unclosed-parenthesis", at, max(at + 1, spot.at), "expected a note and `)` behind `(`")


def _close(spot: Spot, _: re.Match[str]) -> Fault:
    return Fault(
        "unmatched-parenthesis", spot.at, spot.at + 1, "`)` closes no parenthesis", Mend("leave it out", "")
    )


def _dangling(spot: Spot, found: re.Match[str]) -> Fault:
    sign = found[1][-1]
    what = _DANGLING.get(sign, "the connector")
    mends: list[Mend] = []
    after = re.match(r"[ \t]+([a-gA-G1-7xu])", spot.text[found.end() :])
    if sign in "fp" and spot.start == spot.at and found.end() == spot.at + 1:
        mends.append(Mend("the dynamic is", f"'{sign}"))
    elif after:
        typed = found[1] + after[1]
        moved = " " + typed if spot.start < spot.at else typed
        mends.append(Mend("it stands right before its note", moved, spot.at, found.end() + after.end()))
    return Fault(
        "connector-without-note", spot.at, found.end(), f"expected a note behind {what} `{found[1]}`", *mends
    )


_DANGLING = {"^": "the octave mark", "v": "the octave mark", "q": "the ghost mark"}


def _other_name(spot: Spot, found: re.Match[str]) -> Fault:
    sign = found[2]
    at = found.start(2)
    return Fault("unknown-sign", at, at + 1, f"unknown sign `{sign}`", Mend(*_OTHER_NAMES[sign]))


_OTHER_NAMES = {
    "r": ("a rest is", "."),
    "R": ("a rest is", "."),
    "z": ("a rest is", "."),
    "H": ("the note below C is", "B"),
    "X": ("a dead note is", "x"),
    "U": ("an unheard note is", "u"),
    "&": ("a flat is", "b"),
    "!": ("an accent is", ">"),
    "`": ("directions and marks begin with", "'"),
    "<": ("an accent is", ">"),
    "$": ("a sharp is", "#"),
    "[": ("a group is typed with braces and its count, as", "2{"),
}


def _unknown(spot: Spot, found: re.Match[str]) -> Fault:
    at = found.start(2)
    sign = spot.text[at]
    shown = f"`{sign}`" if sign.isprintable() else f"`U+{ord(sign):04X}`"
    mends = ()
    if sign.isalpha() and sign.isascii():
        mends = (Mend("notes are the letters a to g, degrees 1 to 7, or frets such as `A:3`"),)
    return Fault("unknown-sign", at, at + 1, f"unknown sign {shown}", *mends)


def _unfinished(spot: Spot) -> Fault:
    """The word ends where something must follow."""
    at = max(spot.start, spot.at - 1)
    return Fault("misplaced-sign", at, at + 1, f"expected more behind `{spot.text[at : at + 1]}`")


def _cannot_stand(spot: Spot) -> Fault:
    if spot.at >= len(spot.text) or spot.text[spot.at] in _BLANK:
        return _unfinished(spot)
    sign = spot.text[spot.at]
    shown = f"`{sign}`" if sign.isprintable() else f"`U+{ord(sign):04X}`"
    if sign not in ALPHABET:
        return Fault("unknown-sign", spot.at, spot.at + 1, f"unknown sign {shown}")
    return Fault("misplaced-sign", spot.at, spot.at + 1, f"{shown} cannot stand here")


def _slip(behind: str, ahead: str, say: Callable[[Spot, re.Match[str]], Fault | None]) -> Slip:
    return Slip(re.compile(f"(?:{behind})$"), re.compile(ahead), say)


_PREFIX = r"[~hp/\\^vq]"
_NAME = r"(?:[A-Ga-g](?:##?|n|(?<=[A-G])[wb])?|(?:##?|bb?)?[1-7]|[xu])"

SLIPS: tuple[Slip, ...] = (
    # braces, quotes, words
    _slip("", r"$", _group_left_open),
    _slip("", r"\}", _brace),
    _slip("", r"\{", _group_without_count),
    _slip("[^ ]", r'"', _text_glued),
    _slip("", r"[@]", _chord),
    _slip("@.*", r"", _chord),
    _slip("", r"[\[\]]", _section),
    # parentheses, grace notes, stacks
    _slip(r"\(", rf"\)|\(|{_END}", _open),
    _slip("", r"\)", _close),
    _slip(rf",{_PREFIX}*\(?", r"", _grace),
    _slip(rf",{_PREFIX}*\(?{_NAME}[^,+]*", rf"[-.+,]|{_END}", _grace),
    _slip(r"", rf",{_END}|,[-.]", _grace),
    _slip(r"\+", r"[-.+,/?%]|" + _END, _stack),
    _slip("", r"\+", _stack),
    # repetitions and what is to do
    _slip("", r"//+", _slashes),
    _slip(r"\?", r"\?+", _doubled_doubt),
    _slip(r"^\?", _NAME, _doubt_first),
    _slip(r"^%+", r"%+", _repeats),
    _slip(r"^(?:%+|/|\?|.*\}|\".*\"|'[a-z]+)", r"[^ ]", _text_glued),
    # holds and silences
    _slip(r"[-.]", r"(?:[>*_=?]|:[A-Ga-g][#b]?|'[tpovbh](?![a-z])|##?|n|w)+", _mark_on_hold),
    _slip("", rf"({_PREFIX}+)([-.])", _before_hold),
    # accidentals
    _slip(r"[xu]", r"[#nw]+", _other_accidental),
    _slip(r"[a-g]", r"w", _double_flat),
    _slip(r"[A-Ga-g][#nwb]+", r"[#nw]+", _accidentals),
    _slip(r"\d", rf"[#bn]+{_END}", _accidental_last),
    _slip("", r"(##?|n|w)([A-Ga-g])(?![#nw])", _accidental_first),
    _slip("", r"##?|n|w", _accidental_alone),
    # marks and directions
    _slip("", r"'?[a-z]*", _glued_direction),
    _slip("", rf"((?:[>*_=]|'[tpovbh])+)({_PREFIX}*{_NAME})", _mark_first),
    _slip("[^ ]", r"'[A-Za-z]?", _unknown_mark),
    # strings
    _slip("", r":([A-Za-z]?)", _bad_string),
    # what leads nowhere
    _slip("", rf"({_PREFIX}+){_END}", _dangling),
    _slip("", rf"({_PREFIX}*)([{re.escape(''.join(_OTHER_NAMES))}])", _other_name),
    _slip("", rf"({_PREFIX}*)([^{re.escape(ALPHABET)} \t])", _unknown),
)
