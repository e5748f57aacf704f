"""Drafts made up at random that hold everything the language can say: what must come back from another format."""

from __future__ import annotations

import random

# Metres, and the numbers of beat words a bar of each may hold (the language's own table).
METRES = {
    "4/4": (1, 2, 4, 8), "3/4": (1, 3, 6), "6/8": (2, 6), "12/8": (4, 12), "7/8 2+2+3": (3, 7), "5/4 3+2": (2, 5),
}  # fmt: skip
KEYS = ("C", "G minor", "Eb", "F# minor", "Ab", "D dorian", "B", "E mixolydian")
FEELS = ("swing", "shuffle", "swing 16ths", "triplet", "swing 3:2", "straight")
TEMPOS = ("120", "Slow groove 72", "half 88", "Rubato", "Medium swing dotted-quarter 60.5")
CHORDS = (
    "C", "Gm7", "F#m7b5", "Bbmaj7#11", "Eb13sus4", "A7alt/C#", "N.C.", "Dbdim7", "E7b9#11", "Cmaj9?", "G6/9",
    "Abm(maj7)", "C5", "F7b5?", "Dadd9", "Bbwhat",
)  # fmt: skip
SIGNS = (
    '"with the drums"', '"Fine & dandy"', "'mf", "'ff", "'fff", "'ppp", "'fp", "'rfz", "'sf", "'p", "'cresc", "'dim",
    "'slap", "'palm", "'fingers", "'pick", "'ring", "'arco", "'pizz", "'tap", "'open", "'sim", "'solo", "'fill",
    "'laidback", "'segno", "'coda", "'tocoda",
)  # fmt: skip
SHOWN = ("tab", "strings fingers", "names", "degrees", "tones", "positions", "none")
SETTINGS = (
    ("show", SHOWN), ("position", ("5", "free", "2")), ("enharmonic", ("sharps", "flats", "free", "check")),
    ("degrees", ("chord", "key")), ("layout", ("fit", "3", "lines", "page letter")), ("key", KEYS), ("feel", FEELS),
    ("tempo", TEMPOS),
)  # fmt: skip


def whole_draft(seed: int) -> str:
    """A draft of one or two sections. Most have no error; the caller leaves out those that have."""
    rng = random.Random(seed)
    lines = [f"title Study {seed} & more", "composer N. N."]
    lines += (
        [rng.choice(["player N. N., second chorus", "recording takes/study 2.flac"])] if _in(rng, 2) else []
    )
    lines += [f"instrument {rng.choice(['double bass', 'alto sax', 'piano'])}"] if _in(rng, 4) else []
    fretted = not any(line.startswith("instrument") for line in lines)
    lines += [f"strings {rng.choice(['B E A D G', 'D A D G'])}"] if fretted and _in(rng, 4) else []
    lines.append(f"key {rng.choice(KEYS)}")
    metre = rng.choice(list(METRES)) if _in(rng, 2) else "4/4"
    lines.append(f"time {metre}")
    lines += [f"{name} {rng.choice(values)}" for name, values in SETTINGS if name != "key" and _in(rng, 3)]
    lines += ["pickup 1", f"| {_word(rng, fretted=fretted)} |"] if _in(rng, 5) and metre[0] in "345" else []
    clock = rng.randint(0, 90)
    for section in range(rng.randint(1, 2)):
        if _in(rng, 2):
            lines.append(f"[{rng.choice(['A', 'Bridge', 'Long vamp out', 'Solo'])} {section}]")
        for _ in range(rng.randint(1, 2)):
            if _in(rng, 4):
                name, values = rng.choice(SETTINGS)
                lines.append(f"{name} {rng.choice(values)}")
            if _in(rng, 6):
                metre = rng.choice(list(METRES))
                lines.append(f"time {metre}")
            lines += [f"rest {rng.randint(1, 9)}"] if _in(rng, 9) else []
            row = [_bar(rng, METRES[metre], fretted=fretted) for _ in range(rng.randint(1, 4))]
            row += rng.choice([["%"], ["%", "%"], ["@Am7 %"], ["%%"]]) if len(row) > 2 and _in(rng, 2) else []
            clock += rng.randint(1, 20)
            time = f"{clock // 60}:{clock % 60:02}.{rng.randint(0, 99)} " if _in(rng, 3) else ""
            repeat = _in(rng, 6)
            music = f"{'|: ' if repeat else '| '}{' | '.join(row)}{' :|' if repeat else ' |'}"
            lines.append(time + music)
            if repeat and _in(rng, 2):
                lines[-1] = lines[-1].removesuffix(" :|") + " |"
                for number in ("1", "2"):
                    bar = _bar(rng, METRES[metre], fretted=fretted)
                    lines += [f"ending {number}", f"| {bar} {':|' if number == '1' else '|'}"]
    return "\n".join(lines) + "\n"


def _in(rng: random.Random, times: int) -> bool:
    """Once in so many times."""
    return rng.random() * times < 1


def _bar(rng: random.Random, counts: tuple[int, ...], *, fretted: bool) -> str:
    if _in(rng, 20):
        return rng.choice(["?", "", ".", "@Cm7 ?"])
    count = rng.choice(counts)
    row = [_word(rng, fretted=fretted) for _ in range(count)]
    if count in (4, 6, 8) and _in(rng, 6):
        row[:2] = ["2{" + " ".join(_word(rng, fretted=False) for _ in range(3)) + "}"]
    out: list[str] = []
    for word in row:
        if _in(rng, 3):
            out.append("@" + rng.choice(CHORDS))
        if _in(rng, 9):
            out.append(rng.choice(SIGNS))
        out.append(word)
    return " ".join(out)


def _word(rng: random.Random, *, fretted: bool) -> str:
    if _in(rng, 14):
        return rng.choice([".", "?", "u", "-"])
    if fretted and _in(rng, 5):
        return f"{rng.choice('ADG')}:{rng.randint(0, 14)}{rng.choice(['', '>', '*', chr(39) + 'v', '?'])}"
    count = rng.choice([1, 1, 1, 2, 2, 3, 4, 5, 6])
    return "".join(_slot(rng, first=slot == 0) for slot in range(count))


def _slot(rng: random.Random, *, first: bool) -> str:
    if _in(rng, 5):
        return rng.choice(["-", ".", "x", "u"])
    connector = rng.choice(["", "", "", "~", "h", "p", "/", "\\"]) if not first or _in(rng, 4) else ""
    contour = rng.choice(["", "", "", "", "^", "v"])
    after = rng.choice(["", "", "", "", "", ">", "*", "_", "?", "'t", "'p", "'b", "'v", "'o", "'h", "="])
    grace = rng.choice(["", "", "~", "h"]) + "," + rng.choice(["a", "b", "c,d", "eh"]) if _in(rng, 18) else ""
    grace = "" if connector and grace else grace
    ghost = "q" if _in(rng, 10) else ""
    name = rng.choice([*"abcdefg", "F#", "Bb", "C", "an", "G##"])
    stack = "+" + rng.choice("ace") if _in(rng, 22) and after not in ("?", "=") else ""
    return grace + connector + contour + ghost + name + stack + after
