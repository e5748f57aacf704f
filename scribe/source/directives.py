"""Directives: which there are, and whether a value has the form of one."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import NamedTuple

from lark.exceptions import UnexpectedInput

from scribe.diagnostics import Diagnostic, Span
from scribe.source.fault import Mend, line_fault
from scribe.source.grammar import directive_parser
from scribe.source.plain import BLANKS, FORBIDDEN
from scribe.source.suggest import nearest
from scribe.source.tree import Directive


class Form(NamedTuple):
    """`rule`: the start rule of the grammar, None for texts. `expected`: what a value is, for messages."""

    rule: str | None
    expected: str


FORMS: dict[str, Form] = {
    "title": Form(None, "the title of the piece"),
    "composer": Form(None, "a name"),
    "player": Form(None, "a name"),
    "recording": Form(None, "the name of an audio file"),
    "key": Form("key", "a key such as `G`, `G minor` or `Bb dorian`"),
    "time": Form("time", "a metre such as `4/4`, `12/8` or `7/8 2+2+3`"),
    "tempo": Form(
        "tempo", "a number of beats a minute, as in `126`, `dotted-quarter 92` or `Medium swing 152`"
    ),
    "feel": Form(
        "feel",
        "`straight`, `swing`, `swing 16ths`, `shuffle` or `triplet`, perhaps with a ratio such as `3:2`",
    ),
    "enharmonic": Form("enharmonic", "`check`, `fix`, `sharps`, `flats` or `free`"),
    "degrees": Form("degrees", "`key` or `chord`"),
    "strings": Form("strings", "the names of the strings, low to high, as in `B E A D G`"),
    "instrument": Form("instrument", "an instrument such as `bass`, `double bass` or `alto sax`"),
    "home": Form("home", "a pitch or a place on the strings, as in `A1` or `A:0`"),
    "pickup": Form("pickup", "a number of beats such as `1`, `1/2` or `1 1/2`"),
    "short": Form("short", "a number of beats such as `2`, `1/2` or `1 1/2`"),
    "rest": Form("rest", "a number of bars such as `8`"),
    "ending": Form("ending", "the number of the pass or passes, as in `1` or `1,2`"),
    "layout": Form("layout", "`lines`, a number of bars a system, `fit`, `page A4` or `page letter`"),
    "show": Form("show", "`tab`, `strings`, `fingers`, `positions`, `degrees`, `names`, `tones` or `none`"),
    "position": Form("position", "a fret from 1 to 24, or `free`"),
    "use": Form("use", "a section, as in `A`, `A up P4` or `A bars 3-4`"),
}
NAMES = tuple(FORMS)

_FIRST = re.compile(r"[ \t]*([A-Za-z]+)(?=[ \t]|;|$|[=:](?!\|))([ \t]*[=:](?=[ \t]*[^ \t|:]))?[ \t]*")
_QUOTED_OR_COMMENT = re.compile(r'"[^"]*"|;')
_NOTE_LIKE = re.compile(r"(?:[-.~hp/\\q^v()a-gA-Gnwxu#1-7:>*_=?,+@{}]|'[tpovbh])+")


def read_directive(raw: str, plain: str) -> tuple[Directive | None, tuple[Diagnostic, ...]] | None:
    """Read a line that begins with the name of a directive; None if it does not. Places count from its start."""
    first = _FIRST.match(plain)
    if not first or first[1].lower() not in FORMS:
        return None
    name = first[1].lower()
    form = FORMS[name]
    end = _end(plain, first.end(), form.rule is None)
    start = min(first.end(), end)
    text = (raw if form.rule is None else plain)[start:end]
    line = Span(first.start(1), max(end, first.end(1)))
    if not text:
        message = f"`{name}` needs a value, expected {form.expected}"
        return None, (line_fault("missing-value", *line, message),)
    forbidden = FORBIDDEN.search(raw, start, end)
    if forbidden:
        message = f"unknown sign `U+{ord(forbidden[0]):04X}` in the value of `{name}`"
        return None, (line_fault("unknown-sign", *forbidden.span(), message, Mend("leave it out", "")),)
    if first[2]:
        sign = first[2].strip()
        message = f"a directive is its name, a blank and its value, found `{sign}` between"
        fault = line_fault(
            "sign-in-directive",
            *first.span(2),
            message,
            Mend("leave it out", f"{first[1]} {text}", first.start(1), end),
        )
        return Directive(name, text, line, Span(start, end)), (fault,)
    fault_of_value = check_value(name, text) if form.rule else None
    if fault_of_value:
        return None, (fault_of_value.shift(start),)
    return Directive(name, text, line, Span(start, end)), ()


def mistyped(body: str) -> bool:
    """Tell whether a line, though it holds a barline, is rather a directive with its name mistyped."""
    first = re.match(r"[A-Za-z]{3,}(?=[ \t])", body)
    return bool(first and not _NOTE_LIKE.fullmatch(first[0]) and nearest(first[0], NAMES))


def unknown_line(raw: str, plain: str) -> Diagnostic:
    """Return the fault of a line that is neither a directive nor music."""
    start = len(plain) - len(plain.lstrip(" \t"))
    words = re.findall(r"[^ \t]+", plain[start : start + 2000].split(";")[0])
    first = words[0] if words else plain[start : start + 1]
    end = start + len(first)
    name = re.match(r"[A-Za-z]*", first)
    near = nearest(name[0], NAMES) if name else None
    shown = shown_part(raw[start : start + len(first)])
    sounding = [word for word in words if word[0] != "'"] if first[:1] == "'" else words
    notes = sum(1 for word in sounding if _NOTE_LIKE.fullmatch(word))
    begins = bool(sounding) and _NOTE_LIKE.fullmatch(sounding[0])
    comment = re.match(r"//+|#+(?=[ \t])|--(?=[ \t])|/\*", plain[start:])
    if comment and not all(_NOTE_LIKE.fullmatch(word) for word in words[1:]):
        message = f"a comment begins with `;`, found `{comment[0]}`"
        return line_fault("comment-sign", start, start + comment.end(), message, Mend("type", ";"))
    if re.fullmatch(r"\([A-Z]\d?\)|[A-Z]\d?[:.\])]|\d{1,2}/\d{1,2}", first) and len(words) == 1:
        notes = 0  # a section or a metre, no note
    if notes * 2 > len(sounding) and begins and not (near and len(words) < 3):
        message = f"music begins with a barline, found `{shown}`"
        return line_fault("no-barline", start, end, message, Mend("begin with `|`", "| ", start, start))
    forbidden = FORBIDDEN.search(first)
    if forbidden:
        at = start + forbidden.start()
        return line_fault(
            "unknown-sign", at, at + 1, f"unknown sign `U+{ord(forbidden[0]):04X}`", Mend("leave it out", "")
        )
    from scribe.source.slips_lines import other_line

    if other := other_line(plain[start:].split(";")[0].rstrip(), start, _fits_directive):
        shown_all = shown_part(raw[start : start + len(first)])
        return line_fault("unknown-directive", start, end, f"unknown directive `{shown_all}`", other)
    mends = [Mend(f"did you mean `{near}`?", near)] if near else []
    mends.append(Mend("a line is a directive, `[a section]`, music from `|` on, or a comment behind `;`"))
    if not first[0].isalnum():
        return line_fault(
            "unknown-directive", start, end, f"expected a directive or music, found `{shown}`", *mends
        )
    return line_fault("unknown-directive", start, end, f"unknown directive `{shown}`", *mends)


def _fits_directive(name: str, value: str) -> bool:
    return bool(value) and (FORMS[name].rule is None or check_value(name, value) is None)


# What may be a beat under another name in a tempo, which would be printed as a word.
_OTHER_BEAT = re.compile(r"(?i)^[whqes]\b|[♩♪]|breve|minim|crotchet|quaver")


@lru_cache(maxsize=1024)
def check_value(name: str, text: str) -> Diagnostic | None:
    """Return what is wrong with the form of a value, its places counted from the value's start, or None."""
    form = FORMS[name]
    if form.rule is None:
        return None
    if fits(form.rule, text) and not (name == "tempo" and _OTHER_BEAT.search(text)):
        return _groups(text) if name == "time" else None
    from scribe.source.slips_values import value_fault  # only needed when something is wrong

    return value_fault(name, text)


def _groups(text: str) -> Diagnostic | None:
    """Return what is wrong with the groups of a metre, whose form is right."""
    numbers = [int(n) for n in re.findall(r"\d+", text)]
    count, groups = numbers[0], numbers[2:]
    if not groups or sum(groups) == count:
        return None
    sums = " + ".join(map(str, groups))
    message = f"expected groups that add up to {count}, found {sums} = {sum(groups)}"
    return line_fault("time-value", 0, len(text), message)


def fits(rule: str, text: str) -> bool:
    """Tell whether a text goes through a start rule of the grammar."""
    try:
        directive_parser().parse(text, start=rule)
    except UnexpectedInput:
        return False
    return True


def _end(plain: str, at: int, is_text: bool) -> int:
    """Return where a value ends: before a comment and the blanks in front of it."""
    end = len(plain)
    for found in _QUOTED_OR_COMMENT.finditer(plain, at):
        if found[0] == ";" and not (is_text and found.start() > at and plain[found.start() - 1] not in " \t"):
            end = found.start()
            break
    while end > at and plain[end - 1] in BLANKS:
        end -= 1
    return end


def shown_part(text: str) -> str:
    """Return a piece of the text as a message may hold it: short, without signs that cannot be printed."""
    short = text if len(text) <= 40 else text[:39] + "…"
    return "".join(c if c.isprintable() else "\ufffd" for c in short)
