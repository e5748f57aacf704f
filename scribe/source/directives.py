"""Directives: which there are, and whether a value has the form of one."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import NamedTuple

from lark.exceptions import UnexpectedInput

from scribe.diagnostics import Diagnostic, Hint, Span
from scribe.source.fault import Mend, line_fault
from scribe.source.grammar import directive_parser
from scribe.source.plain import BLANKS, FORBIDDEN
from scribe.source.suggest import nearest
from scribe.source.tree import Directive


class Form(NamedTuple):
    """`rule`: the start rule of the grammar, None for texts. `words`: those a value is made of, for suggestions.

    `slips`: patterns of what players type instead, each with the replacement, tried in turn.
    """

    rule: str | None
    expected: str
    words: tuple[str, ...] = ()
    slips: tuple[tuple[str, str], ...] = ()


_MODES = ("major", "minor", "dorian", "phrygian", "lydian", "mixolydian", "aeolian", "locrian", "ionian")
_MODE_SLIPS = (
    (r"^(?:in|of)\s+", ""),
    (r"^[Hh](?![a-z#])", "B"),
    (r"^([A-Ga-g])is(?![a-z])", r"\1#"),
    (r"^([A-Ga-g])es(?![a-z])|^([AEae])s(?![a-z])", r"\1\2b"),
    (r"^([a-z]{5,})\s+([A-Ga-g][#b]?)$", r"\2 \1"),
    (r"^([A-Ga-g][#b]?)\s*-?(?:maj|M|[Dd]ur)\.?$", r"\1 major"),
    (r"^([A-Ga-g][#b]?)\s*(?:m|min|mi|-|-?[Mm]oll)\.?$", r"\1 minor"),
    (r"^([A-Ga-g])\s*-?flat\b", r"\1b"),
    (r"^([A-Ga-g])\s*-?sharp\b", r"\1#"),
    (r"^([A-Ga-g][#b]?)\s*-?(\w{4,})$", r"\1 \2"),
)
_NUMBER_FIRST = ((r"^0*(\d+)\D.*$", r"\1"),)
_BEAT_SLIPS = (
    (r"\s+(?:of\s+a\s+)?beats?$", ""),
    (r"^0?\.5$", "1/2"), (r"^0?\.25$", "1/4"), (r"^0?\.75$", "3/4"), (r"^(\d+)\.5$", r"\1 1/2"),
    (r"^(\d+)\.0+$", r"\1"), (r"^half(?:\s+an?)?$", "1/2"),
)  # fmt: skip

FORMS: dict[str, Form] = {
    "title": Form(None, "the title of the piece"),
    "composer": Form(None, "a name"),
    "player": Form(None, "a name"),
    "recording": Form(None, "the name of an audio file"),
    "key": Form("key", "a key such as `G`, `G minor` or `Bb dorian`", _MODES, _MODE_SLIPS),
    "time": Form(
        "time", "a metre such as `4/4`, `12/8` or `7/8 2+2+3`", (),
        ((r"^(?i:c|common)$", "4/4"), (r"^(?i:cut|c\||alla breve)$", "2/2"), (r"^(\d+)$", r"\1/4"),
         (r"^(\d+/\d+)[ ,]+[a-z ]+$", r"\1"),
         (r"^(\d+)\s*[:\\]\s*(\d+)", r"\1/\2"), (r"[(\[](.*)[)\]]", r"\1"), (r"(?<=\d)[-,](?=\d)", "+")),
    ),
    "tempo": Form(
        "tempo", "a number of beats a minute, as in `126`, `dotted-quarter 92` or `Medium swing 152`", (),
        ((r"(?i)\s*\bbpm\b\.?[ \t=:]*", " "), (r"^(?i:m\.?m\.?)[ \t]*=", ""), (r"^[=~]\s*", ""),
         (r"^(?i:q|♩|1/4)\s*=\s*", "quarter "), (r"=", " "),
         (r"^(\d+(?:\.\d+)?)\s+(?i:or so|about|approx\.?)$", r"ca. \1"),
         (r"^(\d+(?:\.\d+)?)\s+([^\d=]+)$", r"\2 \1")),
    ),
    "feel": Form(
        "feel", "`straight`, `swing`, `swing 16ths`, `shuffle` or `triplet`, perhaps with a ratio such as `3:2`",
        ("straight", "swing", "shuffle", "triplet", "8ths", "16ths"),
        ((r"(\d+)\s*[/-]\s*(\d+)$", r"\1:\2"), (r"(?<=[a-z])(?=\d)", " "),
         (r"^(?i:(8|16)(?:ths?)?[ -]+(?:swing|swung|shuffle))$", r"swing \1ths"),
         (r"^(?i:(swing|shuffle)\s+(8|16))$", r"\1 \2ths"), (r"(?i)16th\b", "16ths"), (r"(?i)8th\b", "8ths"),
         (r"^(?i:swung)", "swing"), (r"^(?i:even)$", "straight"), (r"^(straight)\s+\d+:\d+$", r"\1")),
    ),
    "enharmonic": Form(
        "enharmonic", "`check`, `fix`, `sharps`, `flats` or `free`", ("check", "fix", "sharps", "flats", "free"),
        ((r"^#$", "sharps"), (r"^b$", "flats"), (r"^off$", "free"), (r"^on$", "check")),
    ),
    "degrees": Form("degrees", "`key` or `chord`", ("key", "chord"), ((r"^(?i:of the )?(chord|key)s?$", r"\1"),)),
    "strings": Form("strings", "the names of the strings, low to high, as in `B E A D G`", (),
                    ((r"^(?i:standard|normal|4(?:[- ]strings?)?)$", "E A D G"),
                     (r"^(?i:drop(?:ped)?[- ]?d)$", "D A D G"), (r"^(?i:5(?:[- ]strings?)?|low b)$", "B E A D G"),
                     (r"^(?i:6(?:[- ]strings?)?)$", "B E A D G C"), (r"[,;/-]", " "),
                     (r"(?<=[A-Ga-g0-9#])(?=[A-G])", " "))),
    "instrument": Form("instrument", "an instrument such as `bass`, `double bass` or `alto sax`"),
    "home": Form("home", "a pitch or a place on the strings, as in `A1` or `A:0`", (),
                 ((r"^([A-Ga-g][#b]?)\s+:?(\d+)$", r"\1:\2"),
                  (r"^(?i:(?:low|open)\s+)?([A-Ga-g])(?:\s+string)?$", r"\1"), (r"^([ADEGadeg])$", r"\1:0"),
                  (r"^[Bb]([#b]?)$", r"B\g<1>1"),
                  (r"^[Cc]([#b]?)$", r"C\g<1>2"), (r"^[Ff]([#b]?)$", r"F\g<1>1"), (r"^([AGag][#b])$", r"\g<1>1"),
                  (r"^([DEde][#b])$", r"\g<1>2"))),
    "pickup": Form("pickup", "a number of beats such as `1`, `1/2` or `1 1/2`", (), _BEAT_SLIPS),
    "short": Form("short", "a number of beats such as `2`, `1/2` or `1 1/2`", (), _BEAT_SLIPS),
    "rest": Form("rest", "a number of bars such as `8`", (), _NUMBER_FIRST),
    "ending": Form("ending", "the number of the pass or passes, as in `1` or `1,2`", (),
                   ((r"(?<=\d)\s*(?:-|\+|&|and|\.)\s*(?=\d)", ","), (r"(?<=\d)\s+(?=\d)", ","), (r"[.):]+$", ""),
                    (r"(?<=\d)(?:st|nd|rd|th)\b", ""))),
    "layout": Form("layout", "`lines`, a number of bars a system, `fit`, `page A4` or `page letter`",
                   ("lines", "fit", "page", "letter"),
                   ((r"^(?i:a4)$", "page A4"), (r"^(?i:letter)$", "page letter"),
                    (r"^(\d+)\s+bars?(?:\s+(?:per|an?|to\s+a|in\s+a)\s+(?:line|system|row))?$", r"\1"),
                    (r"^bars?\s+(\d+)$", r"\1"))),
    "show": Form("show", "`tab`, `strings`, `fingers`, `positions`, `degrees`, `names`, `tones` or `none`",
                 ("tab", "strings", "fingers", "positions", "degrees", "names", "tones", "none"),
                 ((r"\s*[+&]\s*", " "), (r"\band\b", " "), (r"\btablature\b", "tab"), (r"\s+(?:on|yes|true)$", ""))),
    "position": Form("position", "a fret from 1 to 24, or `free`", ("free",), _NUMBER_FIRST),
    "use": Form("use", "a section, as in `A`, `A up P4` or `A bars 3-4`", (),
                ((r"\btransposed?\s+|\bmoved?\s+", ""), (r"\b(up|down)\s+an?\s+", r"\1 "), (r"\bfourth$", "P4"),
                 (r"\bfifth$", "P5"), (r"\b(?:major\s+)?second$", "M2"), (r"\bminor\s+third$", "m3"),
                 (r"\b(?:major\s+)?third$", "M3"), (r"\b(up|down)\s+octave$", r"\1 P8"),
                 (r"\b(up|down)\s+([1458])$", r"\1 P\2"),
                 (r"\b(up|down)\s+([2367])$", r"\1 M\2"),
                 (r"\bbar(?:s)?\s*(\d+)\s*(?:–|to|,)\s*(\d+)$", r"bars \1-\2"))),
}  # fmt: skip
NAMES = tuple(FORMS)
_ORDINAL = frozenset(FORMS[name].expected for name in ("ending", "position"))
_COUNTED = frozenset(
    FORMS[name].expected for name in ("pickup", "short", "rest", "ending", "layout", "position")
)

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
    shown = _shown(raw[start : start + len(first)])
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
        shown_all = _shown(raw[start : start + len(first)])
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


@lru_cache(maxsize=1024)
def check_value(name: str, text: str) -> Diagnostic | None:
    """Return what is wrong with the form of a value, its places counted from the value's start, or None."""
    form = FORMS[name]
    if name == "tempo" and (found := _tempo_fault(text)):
        return found
    if form.rule is None or _fits(form.rule, text):
        return _groups(text) if name == "time" else None
    if "|" in text or name == "use":
        from scribe.source.slips_lines import music_behind, used_twice  # only needed when something is wrong

        fault = music_behind(name, text, lambda value: _fits(form.rule or "", value)) or (
            used_twice(text, f"{name}-value") if name == "use" else None
        )
        if fault:
            return fault
    mend = _mend(form, text) or (_added_up(text) if name == "time" else None)
    if name == "feel" and (ratio := _ratio(text)):
        mend = ratio
    two = re.fullmatch(r"(.+?)[ ,;]+(\d+/\d+)", text) if name == "key" else None
    if two and _fits("key", two[1]) and _fits("time", two[2]):
        message = f"expected {form.expected}, found `{_shown(text)}`"
        whole = Span(0, len(text))
        hint = Hint(f"the metre has a line of its own: `time {two[2]}`", f"{two[1]}\ntime {two[2]}", whole)
        return Diagnostic("key-value", "error", whole, message, (hint,))
    if mend is None and name == "feel" and (words := re.match(r"(?i)(half|double)[ -]?time", text)):
        message = f"expected {form.expected}, found `{_shown(text)}`"
        order = f'it is printed as words, inside a bar: `| "{words[1].lower()} time" …`'
        return line_fault("feel-value", 0, len(text), message, Mend(order))
    message = f"expected {form.expected}, found `{_shown(text)}`"
    orders = [Mend("write it as", mend)] if mend else []
    if name == "show" and not mend and re.search(r"(?i)\bchord", text):
        orders = [Mend("chord symbols are printed wherever a draft has them; leave the line out")]
    return line_fault(f"{name}-value", 0, len(text), message, *orders)


# What may be a beat under another name right before the number: a letter alone, a British name, a sign.
_OTHER_BEAT = re.compile(r"(?i)^[whqes]\b|[♩♪]|breve|minim|crotchet|quaver")


def _tempo_fault(text: str) -> Diagnostic | None:
    if not _OTHER_BEAT.search(text):
        return None
    from scribe.source.other_names import tempo_meant

    if not (meant := tempo_meant(text)) or not _fits("tempo", meant):
        return None
    message = f"expected {FORMS['tempo'].expected}, found `{_shown(text)}`"
    return line_fault("tempo-value", 0, len(text), message, Mend("write it as", meant))


def _groups(text: str) -> Diagnostic | None:
    """Return what is wrong with the groups of a metre, whose form is right."""
    numbers = [int(n) for n in re.findall(r"\d+", text)]
    count, groups = numbers[0], numbers[2:]
    if not groups or sum(groups) == count:
        return None
    sums = " + ".join(map(str, groups))
    message = f"expected groups that add up to {count}, found {sums} = {sum(groups)}"
    return line_fault("time-value", 0, len(text), message)


def _ratio(text: str) -> str | None:
    """Return the feel that was typed with the share of the long note: `swing 60%` is swing 3:2."""
    found = re.fullmatch(r"(swing|shuffle)((?:\s+\w+)?)\s+(\d{2})\s*%", text, re.IGNORECASE)
    if not found or not 50 < int(found[3]) < 90:
        return None
    from fractions import Fraction

    ratio = Fraction(int(found[3]), 100 - int(found[3])).limit_denominator(4)
    value = f"{found[1].lower()}{found[2]} {ratio.numerator}:{ratio.denominator}"
    return value if _fits("feel", value) else None


def _added_up(text: str) -> str | None:
    """Return the metre that was typed as its groups: `3+2/8` is 5/8 3+2."""
    found = re.fullmatch(r"[(\[]?(\d+(?:\s*\+\s*\d+)+)[)\]]?\s*/\s*(\d+)", text)
    if not found:
        return None
    groups = found[1].replace(" ", "")
    value = f"{sum(map(int, groups.split('+')))}/{found[2]} {groups}"
    return value if _fits("time", value) else None


def _fits(rule: str, text: str) -> bool:
    try:
        directive_parser().parse(text, start=rule)
    except UnexpectedInput:
        return False
    return True


def _mend(form: Form, text: str) -> str | None:
    """Return the value that was probably meant, if it can be guessed."""
    if form.rule is None or len(text) > 200:
        return None
    tries = [text]
    if form.expected in _COUNTED:
        from scribe.source.slips_lines import number_meant

        tries.append(number_meant(text, ordinal=form.expected in _ORDINAL))
    for pattern, replacement in form.slips:
        changed = " ".join(re.sub(pattern, replacement, tries[-1]).split())
        if changed != tries[-1]:
            tries.append(changed)
    if (
        form.expected == FORMS["show"].expected
    ):  # what is always shown, chords say, is no reason to lose the rest
        tries.insert(0, " ".join(word for word in tries[-1].split() if word in form.words))
    for typed in tries[::-1]:
        words = [w if w[0].isdigit() else nearest(w, form.words) or w for w in typed.split()]
        for candidate in (typed, " ".join(words)):
            if candidate != text and candidate and _fits(form.rule, candidate):
                return candidate
    return None


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


def _shown(text: str) -> str:
    """Return a piece of the text as a message may hold it: short, without signs that cannot be printed."""
    short = text if len(text) <= 40 else text[:39] + "…"
    return "".join(c if c.isprintable() else "\ufffd" for c in short)
