"""Usual slips between words: braces, quotes, chords, repetitions, directions."""

from __future__ import annotations

import re

from scribe.source.directions import DIRECTIONS, MARKS, near_dynamic
from scribe.source.fault import Fault, Mend
from scribe.source.note_names import other_note, plain_names
from scribe.source.other_names import LOUDNESS, OTHER_SIGNS, PHRASES, WORDS, mark_named
from scribe.source.spot import (
    BLANK,
    END,
    NAME,
    NOTE_SIGNS,
    PREFIX,
    Slip,
    Spot,
    blank_missing,
    slip,
    unfinished,
)
from scribe.source.suggest import nearest

_CHORD_ALONE = re.compile(
    r"[A-G][#b]?(?:m|min|mi|maj|ma|M|dim|aug|sus|add|alt|[-\u0394\u00f8\u00b0o]|\d)[\w#+()\u0394\u00b0-]*(?:/[A-G][#b]?)?\??"
)
_CHORD_GOES_ON = re.compile(
    r"(?:major|(?P<minor>minor|min|m)|(?P<name>(?:maj|sus|add|dim|aug|alt|m|min|M)\d{0,2}(?:[#b]\d+)*))", re.I
)
_BARE_DYNAMICS = frozenset(("mp", "mf", "sf", "sfz", "rf", "rfz", "cresc", "dim", "ppp", "pp"))
MOST_REPEATED = 8  # bars that a mend writes out
_NOTE_LIKE = re.compile(r"(?:[-.~hp/\\q^v()a-gA-Gnwxu#1-7:>*_=?,+@{}%]|'[tpovbh])+|\"[^\"]*\"")
_NO_SLOTS = frozenset("ijklmostwy")  # letters that no slot behind a mark begins with, nor ends with
MARK_LIST = ", ".join(f"`{mark}`" for mark in MARKS)
_ONE_NOTE = re.compile(rf"[ \t]+({PREFIX}*{NAME}){END}")


def _phrase(text: str, at: int) -> Fault | None:
    """Return the fault of a direction in several words, or spelled as it is printed, that lies around a place."""
    begin = text.rfind("'", 0, at + 1)
    if begin < 0:
        return None
    for pattern, name, words in PHRASES:
        found = pattern.match(text, begin)
        if found and found.end() >= at:
            typed = found.expand(f"'{name}")
            what = f"a direction is one word, found `{found[0]}`"
            return Fault("unknown-direction", *found.span(), what, Mend(words or "write", typed))
    return None


def _named_mark(text: str, start: int, end: int) -> Mend | None:
    """Return the mend of a mark that was named as if it were a direction: `'fermata g` is `g'h`."""
    mark = mark_named(text[start + 1 : end])
    if mark is None:
        return None
    note = _ONE_NOTE.match(text, end)
    if note:
        return Mend("it is a mark right behind its note", note[1] + mark, start, note.end())
    return Mend(f"it is a mark right behind its note: `{mark}`, as in `g{mark}`")


def _begins_a_word(text: str) -> bool:
    from scribe.source.bar import parse_bar  # which needs this module when something is wrong

    return not parse_bar(text).broken


def unknown_direction(plain: str, start: int, end: int) -> Fault:
    """Return the fault of a word `'…` of a bar that is no direction."""
    typed = plain[start:end]
    name = typed[1:].lower()
    phrase = _phrase(plain, start)
    if phrase:
        return phrase
    mends: tuple[Mend, ...] = ()
    near = near_dynamic(name) or nearest(name, tuple(DIRECTIONS))
    named = _named_mark(plain, start, end)
    glued = next(
        (
            k
            for k in sorted(DIRECTIONS, key=len, reverse=True)
            if name.startswith(k) and len(k) > 1 and _begins_a_word(typed[1 + len(k) :])
        ),
        None,
    )
    if named:
        mends = (named,)
    elif name in LOUDNESS:
        mends = (Mend("it is written", f"'{LOUDNESS[name]}"),)
    elif sign := other_sign(name):
        mends = (sign,)
    elif near_dynamic(name):
        mends = (Mend(f"the nearest dynamic is `'{near}`", f"'{near}"),)
    elif f"'{name[:1]}" in MARKS and name[1:] and set(name[1:]) <= set(NOTE_SIGNS.lower()):
        mends = (Mend("a mark stands behind its note", f"{typed[2:]}{typed[:2]}"),)
    elif f"'{name}" in MARKS:
        mends = (Mend("a mark stands right behind its note, without a blank"),)
    elif glued:
        mends = (Mend("put a blank behind the direction", f"'{glued} {typed[1 + len(glued) :]}"),)
    elif (words := WORDS.get(name.rstrip("."))) is not None:
        mends = (Mend("words are printed above the staff from between double quotes", f'"{words}"'),)
    elif near:
        mends = (Mend(f"did you mean `'{near}`?", f"'{near}"),)
    elif re.fullmatch(r"[a-z]{3,}\.?", name):
        mends = (Mend("other words are printed from between double quotes", f'"{plain[start + 1 : end]}"'),)
    return Fault("unknown-direction", start, end, f"unknown direction `{typed}`", *mends)


def parentheses_over_words(plain: str, start: int, end: int) -> Fault:
    """Return the fault of a parenthesis, open at `start`, that is not closed at `end`, where its word ends."""
    what = "expected `)` before the word ends"
    later = re.match(r"\([^()|\"'@{}]+\)", plain[start:])
    if later is None:
        return Fault("unclosed-parenthesis", start, end, what)
    words = " ".join(f"({word})" for word in later[0][1:-1].split())
    mend = Mend("each word has its own", words, start, start + later.end())
    return Fault("unclosed-parenthesis", start, end, what, mend)


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


def _ratio(spot: Spot, _: re.Match[str]) -> Fault | None:
    """Of a tuplet typed with its ratio: `3:2{g b d}`, `{3:2 g b d}`."""
    found = re.compile(r"(\d{1,2}):(\d{1,2})[ \t]*\{[ \t]*|\{[ \t]*(\d{1,2}):(\d{1,2})[ \t]+").match(
        spot.text, spot.start
    )
    if not found or spot.at > found.end():
        return None
    what = f"a group begins with the number of beat words that it lasts, found `{found[0].strip()}`"
    mend = Mend("as many words share the time as stand in it: type", f"{found[2] or found[4]}{{")
    return Fault("group-without-count", *found.span(), what, mend)


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
            Mend("chords begin with a capital", _capital(plain_names(name))),
        )
    if (doubt := re.fullmatch(r"\(([A-G][^()]*)\)", name)) is not None:
        return Fault("chord-name", start, spot.end, found, Mend("a doubtful chord is", doubt[1] + "?"))
    if name[0] in "Hh" and (named := _capital(plain_names(name))) != _capital(name):
        order = f"the chord on the note below C is `{named}`" if named[1:2] not in ("#", "b") else "write"
        return Fault("chord-name", start, spot.end, found, Mend(order, named))
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


def _capital(name: str) -> str:
    return name[0].upper() + name[1:]


def _section(spot: Spot, _: re.Match[str]) -> Fault:
    if spot.at == 0 and spot.text[0] == "]":
        mend = Mend("the last barline of all is drawn by itself, others are `|` or `||`: leave it out", "")
        return Fault("unknown-barline", 0, 1, "unknown barline `|]`", mend)
    close = spot.text.find("]", spot.at)
    end = close + 1 if close >= 0 else spot.at + 1
    what = "a section mark stands at the start of a line"
    return Fault("misplaced-section", spot.at, end, what, Mend("begin a new line with it"))


def _slashes(spot: Spot, found: re.Match[str]) -> Fault:
    if comment := _comment(spot, found.end()):
        return comment
    mend = Mend("two repetitions are two words", " ".join(found[0]))
    return Fault("doubled-slash", spot.at, found.end(), f"expected `/`, found `{found[0]}`", mend)


def _comment(spot: Spot, end: int) -> Fault | None:
    """Return the fault of a comment begun with the sign up to `end`: behind it stand words that are no music."""
    words = spot.text[end:].split()
    if spot.at > spot.start or not words or all(_NOTE_LIKE.fullmatch(word) for word in words):
        return None
    sign = spot.text[spot.at : end]
    return Fault(
        "comment-sign", spot.at, end, f"a comment begins with `;`, found `{sign}`", Mend("type", ";")
    )


def _hash(spot: Spot, found: re.Match[str]) -> Fault | None:
    return _comment(spot, found.end())


def _how_often(spot: Spot, found: re.Match[str]) -> Fault:
    """Of a repeat sign with a number: `%3`, `%x3`."""
    times = int(found[1])
    what = f"`%` repeats one bar once, found `{spot.text[spot.start : found.end()]}`"
    return Fault("repeat-not-alone", spot.start, found.end(), what, repeated(times, "%"))


def repeated(times: int, once: str) -> Mend:
    """Return the mend of bars again that were asked for by a number."""
    if 1 < times <= MOST_REPEATED:
        return Mend(f"{times} bars again are", " | ".join([once] * times))
    return Mend("each bar again is a `%` of its own between barlines")


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
            if (mark := mark_named(name)) and start > spot.start:
                return named_mark(name, mark, start, end)
            if name in DIRECTIONS:
                what = f"`'{name}` is a direction: a word of its own, before the note"
                return Fault(
                    "unknown-mark",
                    start,
                    end,
                    what,
                    Mend("put it first", f"'{name} {note}", spot.start, spot.end),
                )
            if start > spot.start and spot.at > start + 1 and (name in WORDS or set(name[1:]) & _NO_SLOTS):
                return _no_mark(name, start, end)
    return None


def named_mark(name: str, mark: str, start: int, end: int) -> Fault:
    """Return the fault of a mark typed with its whole name: `g'bend`."""
    return Fault("unknown-mark", start, end, f"unknown mark `'{name}`", Mend("the mark is", mark))


def other_sign(name: str) -> Mend | None:
    """Return the mend of what was named like a mark and is another sign: a ghost note, a slide, a hammer-on."""
    order = OTHER_SIGNS.get(name.lower())
    return Mend(order) if order else None


def _no_mark(name: str, start: int, end: int) -> Fault:
    """Of a mark that there is not, its first letter a mark though: `'tr`, `'turn`."""
    if mend := other_sign(name):
        return Fault("unknown-mark", start, end, f"unknown mark `'{name}`", mend)
    words = WORDS.get(name, name)
    mend = Mend(f'the marks are {MARK_LIST}; words are printed from between double quotes, as `"{words}"`')
    return Fault("unknown-mark", start, end, f"unknown mark `'{name}`", mend)


def _said(spot: Spot, _: re.Match[str]) -> Fault | None:
    return _phrase(spot.text, spot.at)


def meant_word(spot: Spot) -> Mend | None:
    """Return the mend of a whole word that is no note: a chord without `@`, a dynamic without `'`, a bare text."""
    word = spot.text[spot.start : spot.end]
    before = re.search(r"(@[^ \t]+)[ \t]+$", spot.text[: spot.start])
    if before and (rest := _CHORD_GOES_ON.fullmatch(word)):
        name = before[1] + ("m" if rest["minor"] else rest["name"] or "")
        return Mend("a chord's name is one word", name, before.start(1), spot.end)
    if _CHORD_ALONE.fullmatch(word):
        return Mend("a chord symbol begins with `@`", "@" + word, spot.start, spot.end)
    if named := other_note(word):
        return Mend("the note is", named, spot.start, spot.end)
    if re.fullmatch(r"V?I{0,3}|I[IV]", word):
        roman = ("I", "II", "III", "IV", "V", "VI", "VII")
        return (
            Mend("degrees are digits", str(roman.index(word) + 1), spot.start, spot.end)
            if word in roman
            else None
        )
    if word in _BARE_DYNAMICS:
        return Mend("the dynamic is", "'" + word, spot.start, spot.end)
    opened = spot.text.rfind("(", 0, spot.at)
    text = re.match(r"\(([^()|\"{}@]+)\)", spot.text[opened:]) if opened >= 0 else None
    if text and opened + text.end() > spot.at and (opened == 0 or spot.text[opened - 1] in BLANK):
        return Mend(
            "words are printed from between double quotes", f'"{text[1]}"', opened, opened + text.end()
        )
    return None


def _glued(spot: Spot, _: re.Match[str]) -> Fault:
    return blank_missing(spot)


WORD_SLIPS: tuple[Slip, ...] = (
    slip("", "", _said),
    slip("", "", _ratio),
    slip("", r"$", _group_left_open),
    slip("", r"\}", _brace),
    slip("", r"\{", _group_without_count),
    slip("[^ ]", r'"', _glued),
    slip("", r"[@]", _chord),
    slip("@.*", r"", _chord),
    slip("", r"[\[\]]", _section),
    slip("", r"//+", _slashes),
    slip("", r"#+(?=[ \t])", _hash),
    slip(r"\?", r"\?+", _doubled_doubt),
    slip(r"^\?", NAME, _doubt_first),
    slip(r"^%+", r"%+", _repeats),
    slip(r"^%", rf"[x*]?(\d{{1,3}})x?{END}", _how_often),
    slip(r"^(?:%+|/|\?|.*\}|\".*\"|'[a-z]+)", r"[^ ]", _glued),
    slip("", r"'?[a-z]*", _glued_direction),
)
