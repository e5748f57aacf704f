"""Usual slips inside beat words: parentheses, stacks, grace notes, accidentals, marks, strings, connectors."""

from __future__ import annotations

import re
import unicodedata

from scribe.source.fault import Fault, Mend
from scribe.source.other_names import mark_named
from scribe.source.slips_words import MARK_LIST, meant_word, other_sign
from scribe.source.spot import ALPHABET, END, NAME, PREFIX, Slip, Spot, shown, slip


def _mark_on_hold(spot: Spot, found: re.Match[str]) -> Fault:
    before = spot.text[spot.at - 1]
    what = "a hold" if before == "-" else "a silence"
    code = "accidental-without-note" if found[0][0] in "#nw" else "mark-on-hold"
    order = "leave it out"
    if before == "-" and code == "mark-on-hold":
        order = "a mark stands behind the note that is held, where it begins; here leave it out"
    return Fault(code, spot.at, found.end(), f"{what} takes no marks, found `{found[0]}`", Mend(order, ""))


def _before_hold(spot: Spot, found: re.Match[str]) -> Fault:
    what = f"expected a note behind `{found[1]}`, found `{found[2]}`"
    return Fault("mark-on-hold", spot.at, found.end(1), what, Mend("leave it out", ""))


def _unknown_mark(spot: Spot, found: re.Match[str]) -> Fault:
    name = found[0][1:]
    if not name:
        mend = Mend(
            f"octaves are chosen with `^` and `v` before the note; the marks behind it are {MARK_LIST}"
        )
    elif mark := mark_named(name):
        mend = Mend("the mark is", mark)
    else:
        mend = other_sign(name) or Mend(f"the marks are {MARK_LIST}")
    return Fault("unknown-mark", spot.at, found.end(), f"unknown mark `{found[0]}`", mend)


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
    sign, letter = found[1].replace("♭", "b"), found[2]
    what = f"a letter has its accidental behind it, found `{found[0]}`"
    typed = (letter.upper() if sign in "wb" else letter) + sign
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


def _bad_string(spot: Spot, found: re.Match[str]) -> Fault:
    at, name = spot.at, found[1]
    if name == "x" and spot.text[at - 1 : at].isalpha():
        string = spot.text[at - 1]
        mend = Mend("a dead note on a string is", f"x:{string}", at - 1, found.end())
        return Fault("string-name", at - 1, found.end(), "a fret is a number, found `x`", mend)
    what = f"expected the name of a string (A to G) or a fret behind `:`, found `{name}`" if name else (
        "expected the name of a string or a fret behind `:`"
    )  # fmt: skip
    mends = () if name else (Mend("an open string is a fret too, as in `E:0`"),)
    return Fault("string-name", at, found.end(), what, *mends)


def _grace(spot: Spot, _: re.Match[str]) -> Fault:
    comma = spot.text.rfind(",", spot.start, spot.at + 1)
    at = comma if comma >= 0 else spot.at
    if spot.text[spot.at : spot.at + 1] == "+" and comma >= 0:
        return Fault("grace-alone", at, spot.at + 1, "a grace note is one note, found a stack")
    if spot.at <= comma + 1:
        what = "expected a grace note behind `,`"
        if below := re.fullmatch(rf"(v*)({NAME})", spot.text[spot.start : at]):
            order = Mend("the octave below is chosen with `v`", f"{below[1]}v{below[2]}", spot.start, at + 1)
            return Fault("grace-alone", at, at + 1, what, order)
        return Fault("grace-alone", at, at + 1, what)
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
    after = re.match(r"((?:[ \t]+[-.]+)*[ \t]+)([a-gA-G1-7xu])", spot.text[found.end() :])
    if sign in "fp" and spot.start == spot.at and found.end() == spot.at + 1:
        mends.append(Mend("the dynamic is", f"'{sign}"))
    elif found[1] == "h" and not after:
        mends.append(
            Mend("notes are `a` to `g`: B natural is `B`, B flat `Bb`; `h` leads to a note, as in `hb`")
        )
    elif after:
        typed = found[1] + after[2]
        between = after[1] if spot.start < spot.at else after[1].lstrip()
        moved = between + typed
        mends.append(Mend("it stands right before its note", moved, spot.at, found.end() + after.end()))
    return Fault(
        "connector-without-note", spot.at, found.end(), f"expected a note behind {what} `{found[1]}`", *mends
    )


_DANGLING = {"^": "the octave mark", "v": "the octave mark", "q": "the ghost mark"}


def _other_name(spot: Spot, found: re.Match[str]) -> Fault:
    sign = found[2]
    at = found.start(2)
    if sign == "<" and re.match(r"<[^<>|\"{}]+>", spot.text[at:]):
        mend = Mend("notes that sound together are joined by `+`, as in `g+d`; an accent is `>`")
        return Fault("unknown-sign", at, at + 1, "unknown sign `<`", mend)
    mended = meant_word(spot)
    if (
        sign == "R"
        and spot.text[spot.start : spot.end] == "R"
        and re.search(r"(?<![^ ])[#b]?[1-7](?![^ ])", spot.text)
    ):
        mended = Mend("the root is", "1")
    if mended:
        return Fault("unknown-sign", at, at + 1, f"unknown sign `{sign}`", mended)
    return Fault("unknown-sign", at, at + 1, f"unknown sign `{sign}`", Mend(*_OTHER_NAMES[sign]))


_OTHER_NAMES = {
    "r": ("a rest is", "."),
    "R": ("a rest is", "."),
    "z": ("a rest is", "."),
    "H": ("the note below C is", "B"),
    "X": ("a dead note is", "x"),
    "U": ("an unheard note is", "u"),
    "!": ("an accent is", ">"),
    "_": ("a note is held by", "-"),
    "`": ("directions and marks begin with", "'"),
    "<": ("an accent is", ">"),
    "[": ("a group is typed with braces and its count, as", "2{"),
}


def _unknown(spot: Spot, found: re.Match[str]) -> Fault:
    at = found.start(2)
    sign = spot.text[at]
    mend = meant_word(spot) or _meant_sign(sign)
    return Fault("unknown-sign", at, at + 1, f"unknown sign {shown(sign)}", *([mend] if mend else []))


def _meant_sign(sign: str) -> Mend | None:
    if sign.isalpha() and sign.isascii():
        return Mend("notes are the letters a to g, degrees 1 to 7, or frets such as `A:3`")
    if "\U0001d13b" <= sign <= "\U0001d142":
        return Mend("a rest is", ".")
    if sign == "\u2016":
        return Mend("a double barline is", "||")
    return Mend("it cannot be seen: leave it out", "") if unicodedata.category(sign) == "Cf" else None


NOTE_SLIPS: tuple[Slip, ...] = (
    slip(r"\(", rf"\)|\(|{END}", _open),
    slip("", r"\)", _close),
    slip(rf",{PREFIX}*\(?", r"", _grace),
    slip(rf",{PREFIX}*\(?{NAME}[^,+]*", rf"[-.+,]|{END}", _grace),
    slip(r"", rf",{END}|,[-.]", _grace),
    slip(r"\+", r"[-.+,/?%]|" + END, _stack),
    slip("", r"\+", _stack),
    slip(r"[-.]", r"(?:[>*_=?]|:[A-Ga-g][#b]?|'[tpovbh](?![a-z])|##?|n|w)+", _mark_on_hold),
    slip("", rf"({PREFIX}+)([-.])", _before_hold),
    slip(r"[xu]", r"[#nw♭]+", _other_accidental),
    slip(r"[a-g]", r"w", _double_flat),
    slip(r"[A-Ga-g][#nwb]+", r"[#nw♭]+", _accidentals),
    slip(r"\d", rf"[#bn]+{END}", _accidental_last),
    slip("", r"(##?|n|w|♭)([A-Ga-g])(?![#nw♭])", _accidental_first),
    slip("", r"##?|n|w|♭+", _accidental_alone),
    slip("", rf"((?:[>*_=]|'[tpovbh])+)({PREFIX}*{NAME})", _mark_first),
    slip("[^ ]", r"'[A-Za-z]*", _unknown_mark),
    slip("", r":([A-Za-z]?)", _bad_string),
    slip("", rf"({PREFIX}+){END}", _dangling),
    slip("", rf"({PREFIX}*)([{re.escape(''.join(_OTHER_NAMES))}])", _other_name),
    slip("", rf"({PREFIX}*)([^{re.escape(ALPHABET)} \t])", _unknown),
)
