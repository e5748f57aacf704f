"""Values of directives as players type them who do not know ours yet, each with the value that was meant."""

from __future__ import annotations

import re
from collections.abc import Callable
from fractions import Fraction
from typing import NamedTuple

from scribe.diagnostics import Diagnostic, Hint, Span
from scribe.source.directives import FORMS, fits, shown_part
from scribe.source.fault import Mend, line_fault
from scribe.source.slips_words import MOST_REPEATED
from scribe.source.suggest import nearest

LONGEST = 200  # characters of a value that is guessed at


class Slips(NamedTuple):
    """`words`: those that a value is made of, for suggestions.

    `patterns`: of what players type instead, each with the replacement, tried in turn.
    """

    words: tuple[str, ...] = ()
    patterns: tuple[tuple[str, str], ...] = ()


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

SLIPS: dict[str, Slips] = {
    "key": Slips(_MODES, _MODE_SLIPS),
    "time": Slips((),
        ((r"^(?i:c|common)$", "4/4"), (r"^(?i:cut|c\||alla breve)$", "2/2"), (r"^(\d+)$", r"\1/4"),
         (r"^(\d+/\d+)[ ,]+[a-z ]+$", r"\1"),
         (r"^(\d+)\s*[:\\]\s*(\d+)", r"\1/\2"), (r"[(\[](.*)[)\]]", r"\1"), (r"(?<=\d)[-,](?=\d)", "+"))),
    "tempo": Slips((),
        ((r"(?i)\s*\bbpm\b\.?[ \t=:]*", " "), (r"^(?i:m\.?m\.?)[ \t]*=", ""), (r"^[=~]\s*", ""),
         (r"^1/4\s*=\s*", "quarter "), (r"=", " "),
         (r"^(\d+(?:\.\d+)?)\s+(?i:or so|about|approx\.?)$", r"ca. \1"),
         (r"^(\d+(?:\.\d+)?)\s+([^\d=]+)$", r"\2 \1"))),
    "feel": Slips(("straight", "swing", "shuffle", "triplet", "8ths", "16ths"),
        ((r"(\d+)\s*[/-]\s*(\d+)$", r"\1:\2"), (r"(?<=[a-z])(?=\d)", " "),
         (r"^(?i:(8|16)(?:ths?)?[ -]+(?:swing|swung|shuffle))$", r"swing \1ths"),
         (r"^(?i:(swing|shuffle)\s+(8|16))$", r"\1 \2ths"), (r"(?i)16th\b", "16ths"), (r"(?i)8th\b", "8ths"),
         (r"^(?i:swung)", "swing"), (r"^(?i:even)$", "straight"), (r"^(straight)\s+\d+:\d+$", r"\1"))),
    "enharmonic": Slips(("check", "fix", "sharps", "flats", "free"),
        ((r"^#$", "sharps"), (r"^b$", "flats"), (r"^off$", "free"), (r"^on$", "check"))),
    "degrees": Slips(("key", "chord"),
        ((r"^(?i:of the )?(chord|key)s?$", r"\1"),)),
    "strings": Slips((),
        ((r"^(?i:standard|normal|4(?:[- ]strings?)?)$", "E A D G"),
         (r"^(?i:drop(?:ped)?[- ]?d)$", "D A D G"), (r"^(?i:5(?:[- ]strings?)?|low b)$", "B E A D G"),
         (r"^(?i:6(?:[- ]strings?)?)$", "B E A D G C"), (r"[,;/-]", " "),
         (r"(?<=[A-Ga-g0-9#])(?=[A-G])", " "))),
    "home": Slips((),
        ((r"^([A-Ga-g][#b]?)\s+:?(\d+)$", r"\1:\2"),
         (r"^(?i:(?:low|open)\s+)?([A-Ga-g])(?:\s+string)?$", r"\1"), (r"^([ADEGadeg])$", r"\1:0"),
         (r"^[Bb]([#b]?)$", r"B\g<1>1"),
         (r"^[Cc]([#b]?)$", r"C\g<1>2"), (r"^[Ff]([#b]?)$", r"F\g<1>1"), (r"^([AGag][#b])$", r"\g<1>1"),
         (r"^([DEde][#b])$", r"\g<1>2"))),
    "pickup": Slips((), _BEAT_SLIPS),
    "short": Slips((), _BEAT_SLIPS),
    "rest": Slips((), _NUMBER_FIRST),
    "ending": Slips((),
        ((r"(?<=\d)\s*(?:-|\+|&|and|\.)\s*(?=\d)", ","), (r"(?<=\d)\s+(?=\d)", ","), (r"[.):]+$", ""),
         (r"(?<=\d)(?:st|nd|rd|th)\b", ""))),
    "layout": Slips(("lines", "fit", "page", "letter"),
        ((r"^(?i:a4)$", "page A4"), (r"^(?i:letter)$", "page letter"),
         (r"^(\d+)\s+bars?(?:\s+(?:per|an?|to\s+a|in\s+a)\s+(?:line|system|row))?$", r"\1"),
         (r"^bars?\s+(\d+)$", r"\1"))),
    "show": Slips(("tab", "strings", "fingers", "positions", "degrees", "names", "tones", "none"),
        ((r"\s*[+&]\s*", " "), (r"\band\b", " "), (r"\btablature\b", "tab"), (r"\s+(?:on|yes|true)$", ""))),
    "position": Slips(("free",), _NUMBER_FIRST),
    "use": Slips((),
        ((r"\btransposed?\s+|\bmoved?\s+", ""), (r"\b(up|down)\s+an?\s+", r"\1 "), (r"\bfourth$", "P4"),
         (r"\bfifth$", "P5"), (r"\b(?:major\s+)?second$", "M2"), (r"\bminor\s+third$", "m3"),
         (r"\b(?:major\s+)?third$", "M3"), (r"\b(up|down)\s+octave$", r"\1 P8"),
         (r"\b(up|down)\s+([1458])$", r"\1 P\2"),
         (r"\b(up|down)\s+([2367])$", r"\1 M\2"),
         (r"\bbar(?:s)?\s*(\d+)\s*(?:–|to|,)\s*(\d+)$", r"bars \1-\2"))),
}  # fmt: skip
_COUNTED = ("pickup", "short", "rest", "ending", "layout", "position")
_ORDINAL = ("ending", "position")


def value_fault(name: str, text: str) -> Diagnostic | None:
    """Return what is wrong with a value, with its mend; its places count from its start. None: nothing is."""
    first = _with_music(name, text) or (_FAULTS[name](text) if name in _FAULTS else None)
    if first:
        return first
    meant = _meant(name, text)
    if meant is None and _fits(name, text):
        return None
    message = f"expected {FORMS[name].expected}, found `{shown_part(text)}`"
    mend = Mend("write it as", meant) if meant else _OTHERWISE[name](text) if name in _OTHERWISE else None
    return line_fault(f"{name}-value", 0, len(text), message, *([mend] if mend else []))


def _fits(name: str, text: str) -> bool:
    return bool(text) and fits(FORMS[name].rule or "", text)


def _meant(name: str, text: str) -> str | None:
    """The value that was probably meant, if another was and it can be guessed."""
    if len(text) > LONGEST:
        return None
    if name in _SAID and (value := _SAID[name](text)) and _fits(name, value):
        return value
    if _fits(name, text):
        return None
    slips = SLIPS.get(name, Slips())
    tries = [text]
    if name in _COUNTED:
        tries.append(number_meant(text, ordinal=name in _ORDINAL))
    for pattern, replacement in slips.patterns:
        changed = " ".join(re.sub(pattern, replacement, tries[-1]).split())
        if changed != tries[-1]:
            tries.append(changed)
    for typed in tries[::-1]:
        words = [w if w[0].isdigit() else nearest(w, slips.words) or w for w in typed.split()]
        for candidate in (typed, " ".join(words)):
            if candidate != text and _fits(name, candidate):
                return candidate
    return None


# --- one directive's own ------------------------------------------------------------------------------------------


_NUMBERS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
_ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth")
_ROMAN = re.compile(r"(X{0,2})(IX|IV|V?I{0,3})", re.IGNORECASE)


def number_meant(text: str, *, ordinal: bool) -> str:
    """Return a value with its number in digits where a word or a Roman numeral was typed: `four`, `fifth`, `VII`."""
    low = text.lower()
    for words in (_NUMBERS, _ORDINALS) if ordinal else (_NUMBERS,):
        if low in words:
            return str(words.index(low) + 1)
    roman = _ROMAN.fullmatch(text)
    if not text or roman is None:
        return text
    small = {"": 0, "I": 1, "II": 2, "III": 3, "IV": 4, "V": 5, "VI": 6, "VII": 7, "VIII": 8, "IX": 9}
    return str(len(roman[1]) * 10 + small[roman[2].upper()])


_BEATS = {
    "w": "whole", "h": "half", "q": "quarter", "e": "eighth", "s": "sixteenth", "♩": "quarter", "♪": "eighth",
    "semibreve": "whole", "minim": "half", "crotchet": "quarter", "quaver": "eighth", "semiquaver": "sixteenth",
}  # fmt: skip
_TEMPO = re.compile(
    r"(.*\s)?(dotted[\s-]+)?((?<!\S)[whqes]|[♩♪]|(?<![^\s-])(?:semibreve|minim|crotchet|semiquaver|quaver)s?)"
    r"(\.?)\s*(?:=\s*|(?<=\s)|(?<=♩)|(?<=♪))(\d+(?:\.\d+)?)",
    re.IGNORECASE,
)


def tempo_meant(text: str) -> str | None:
    """Return a tempo whose beat has another name, in ours: `dotted-quarter 62` for `Q. 62`, `half 60` for `minim=60`.

    None where it says no beat so; a single letter is one only where nothing stands before it.
    """
    found = _TEMPO.fullmatch(text)
    if not found or (found[1] and len(found[3]) == 1 and found[3].isascii()):
        return None
    value = _BEATS[found[3].lower().rstrip("s") or "s"]
    return f"{found[1] or ''}{'dotted-' if found[2] or found[4] else ''}{value} {found[5]}"


def _ratio(text: str) -> str | None:
    """Return the feel that was typed with the share of the long note: `swing 60%` is swing 3:2."""
    found = re.fullmatch(r"(swing|shuffle)((?:\s+\w+)?)\s+(\d{2})\s*%", text, re.IGNORECASE)
    if not found or not 50 < int(found[3]) < 90:
        return None
    ratio = Fraction(int(found[3]), 100 - int(found[3])).limit_denominator(4)
    return f"{found[1].lower()}{found[2]} {ratio.numerator}:{ratio.denominator}"


def _added_up(text: str) -> str | None:
    """Return the metre that was typed as its groups: `3+2/8` is 5/8 3+2."""
    found = re.fullmatch(r"[(\[]?(\d+(?:\s*\+\s*\d+)+)[)\]]?\s*/\s*(\d+)", text)
    if not found:
        return None
    groups = found[1].replace(" ", "")
    return f"{sum(map(int, groups.split('+')))}/{found[2]} {groups}"


def _with_metre(text: str) -> Diagnostic | None:
    """Return the fault of a key with a metre behind it."""
    found = re.fullmatch(r"(.+?)[ ,;]+(\d+/\d+)", text)
    if not found or not _fits("key", found[1]) or not _fits("time", found[2]):
        return None
    whole = Span(0, len(text))
    message = f"expected {FORMS['key'].expected}, found `{shown_part(text)}`"
    hint = Hint(f"the metre has a line of its own: `time {found[2]}`", f"{found[1]}\ntime {found[2]}", whole)
    return Diagnostic("key-value", "error", whole, message, (hint,))


def _half_time(text: str) -> Mend | None:
    found = re.match(r"(?i)(half|double)[ -]?time", text)
    order = 'it is printed as words, inside a bar: `| "{} time" …`'
    return Mend(order.format(found[1].lower())) if found else None


def _shown_at_all(text: str) -> Mend | None:
    """What is always shown, chords say, is no reason to lose the rest."""
    rest = " ".join(word for word in text.split() if word in SLIPS["show"].words)
    if rest and _fits("show", rest):
        return Mend("write it as", rest)
    always = re.search(r"(?i)\bchord", text)
    return Mend("chord symbols are printed wherever a draft has them; leave the line out") if always else None


def _with_music(name: str, text: str) -> Diagnostic | None:
    """Return the fault of a directive's value with music on the same line, if it is one: `ending 1 | g b :|`."""
    found = re.match(r"(.*?)[ \t]*(\|[|:]?[ \t]*[^ \t].*)$", text)
    if found is None or not _fits(name, found[1]):
        return None
    message = f"`{name} {found[1]}` has a line of its own, found music behind it"
    hint = Hint("begin a new line with the music", f"{found[1]}\n{found[2]}", Span(0, len(text)))
    return Diagnostic(f"{name}-value", "error", Span(found.start(2), len(text)), message, (hint,))


def used_twice(text: str, code: str) -> Diagnostic | None:
    """Return the fault of a value of `use` with a number of times behind it, if it is one: `A up P4 x2`."""
    found = re.search(r"[ \t]+(?:x[ \t]*(\d{1,2})|(\d{1,2})[ \t]*x)$", text)
    times = int(found[1] or found[2]) if found else 0
    if found is None or times < 1:
        return None
    once = text[: found.start()]
    message = f"`use` plays its bars once, found `{found[0].strip()}`"
    order = "write the line once for each time"
    lines = f"{once}\n" + "\n".join([f"use {once}"] * (times - 1))
    hint = Hint(order, lines.rstrip("\n"), Span(0, len(text))) if times <= MOST_REPEATED else Hint(order)
    return Diagnostic(code, "error", Span(found.end() - len(found[0].strip()), len(text)), message, (hint,))


_FAULTS: dict[str, Callable[[str], Diagnostic | None]] = {
    "key": _with_metre,
    "use": lambda text: used_twice(text, "use-value"),
}
_SAID: dict[str, Callable[[str], str | None]] = {"tempo": tempo_meant, "feel": _ratio, "time": _added_up}
_OTHERWISE: dict[str, Callable[[str], Mend | None]] = {"feel": _half_time, "show": _shown_at_all}
