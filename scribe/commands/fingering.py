"""`scribe fingering`: how a line lies under the hand, in more than one way."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import cast

import click

from scribe.bass.fingered import Fingered, fill, fingering
from scribe.bass.fretboard import FEWEST_FRETS, LONGEST, MOST_FRETS, SHORTEST
from scribe.bass.hand import System
from scribe.bass.line import Line
from scribe.bass.rewrite import pinned
from scribe.bass.warnings import CAUTION, Problem, problems, strained
from scribe.bass.ways import Way, hand_before, part_of, ways
from scribe.bass.words import bar_name, grip_name, roman, where
from scribe.commands.files import STDIN, has_errors, read_draft, report, stop, write_whole
from scribe.diagnostics.show import Lines
from scribe.music.piece import Piece
from scribe.pipeline import compile

SYSTEMS = {"mixed": "mixed", "124": "1-2-4", "1-2-4": "1-2-4", "fret": "finger a fret"}


@click.command()
@click.argument("file")
@click.option("--bars", metavar="5-8", help="Only these bars, by their printed numbers.")
@click.option(
    "--ways", "count", type=click.IntRange(1, 9), default=3, show_default=True, help="How many ways to show."
)
@click.option("--write", is_flag=True, help="Pin the strings of the chosen way into the draft.")
@click.option("--way", "chosen", type=click.IntRange(1, 9), default=1, help="The way that --write takes.")
@click.option(
    "--system",
    type=click.Choice(sorted(SYSTEMS)),
    default="mixed",
    show_default=True,
    help="Left hand: 1-2-4, one finger a fret, or 1-2-4 low down and a finger a fret above.",
)
@click.option("--frets", type=click.IntRange(FEWEST_FRETS, MOST_FRETS), default=MOST_FRETS, show_default=True)
@click.option("--scale", type=click.FloatRange(SHORTEST, LONGEST), help="Scale length in mm.")
@click.option("--json", "as_json", is_flag=True, help="Print a record for programs.")
def command(
    file: str,
    bars: str | None,
    count: int,
    write: bool,
    chosen: int,
    system: str,
    frets: int,
    scale: float | None,
    as_json: bool,
) -> None:
    """Find fingerings for a line: string, fret, finger and position of every note.

    FILE is a draft, or - for standard input (with --write the draft then goes to standard output). A note reads
    A:3(4): string, fret and finger; open strings have no finger. The first way is the one that asks the least of the
    hand at the draft's tempo, by a table of costs in millimetres and seconds.
    """
    text = read_draft(file)
    compiled = compile(text)
    piece = compiled.piece
    hand_system = cast(System, SYSTEMS[system])
    whole = fingering(piece, system=hand_system, frets=frets, scale=scale)
    first, last = _bars(bars, piece)
    if not whole.line.moments:
        report(compiled.diagnostics, text, file)
        stop(_nothing(file, piece))
    line = part_of(whole.line, first, last)
    if not line.moments:
        stop(f"{file}: no note to finger in bars {bars}")
    hand = hand_before(whole.line, whole.grips, first)
    wanted = max(count, chosen) if write else count
    found = ways(line, wanted, hand_system, hand)
    if write and chosen > len(found):
        stop(f"{file}: there are only {len(found)} really different ways here")
    if write:
        _write(file, text, piece, line, found[chosen - 1])
    results = [fill(piece, line, way.grips, way.relaxed) for way in found[:wanted]]
    said = [problems(result, hand_system) for result in results]
    if as_json:
        import json

        rows = [_record(way, line, piece, trouble) for way, trouble in zip(found, said, strict=True)]
        click.echo(json.dumps({"ways": rows}, ensure_ascii=False, indent=1))
    else:
        _show(found, results, said, Lines(text), quiet=write and file == STDIN)
        if len(found) < count and not write:
            click.echo("no other way is really different")
        if any(map(strained, said)):
            click.echo(CAUTION, err=write and file == STDIN)
    report(piece.diagnostics, text, file)  # what cannot be played is said above, way by way
    sys.exit(1 if has_errors(compiled.diagnostics) else 0)


def _bars(text: str | None, piece: Piece) -> tuple[int, int]:
    """The first and last bar index of a range of printed numbers."""
    if text is None:
        return 0, len(piece.bars) - 1
    low, _, high = text.partition("-")
    if not low.strip().isdecimal() or (high and not high.strip().isdecimal()):
        stop(f"--bars {text}: expected a bar such as 5, or bars such as 5-8")
    numbers = range(int(low), int(high or low) + 1)
    inside = [i for i, bar in enumerate(piece.bars) if bar.number in numbers]
    if not inside:
        stop(
            f"--bars {text}: there are no such bars; the last one is {piece.bars[-1].number if piece.bars else 0}"
        )
    return inside[0], inside[-1]


def _nothing(file: str, piece: Piece) -> str:
    without = next(
        (b.in_force.instrument.name for b in piece.bars if not b.in_force.instrument.fretted), None
    )
    if without:
        return f"{file}: the {without} has no strings; `scribe arrange` makes a bass line of it"
    return f"{file}: no note to finger"


def _write(file: str, text: str, piece: Piece, line: Line, way: Way) -> None:
    new = pinned(text, piece, line, way.grips)
    again = compile(new)
    # What is written must be the same music: a draft is never made worse without a word.
    if [n.midi for n in again.notes] != [n.midi for n in compile(text).notes]:
        stop(f"{file}: the strings cannot be pinned without changing notes; nothing was written")
    if file == STDIN:
        click.echo(new, nl=False)
    else:
        write_whole(Path(file), new.encode("utf-8"))


def _show(
    found: Sequence[Way],
    results: Sequence[Fingered],
    said: Sequence[list[Problem]],
    lines: Lines,
    quiet: bool,
) -> None:
    for number, (way, result, trouble) in enumerate(zip(found, results, said, strict=True), 1):
        out = [f"way {number}: {way.name}", f"  {_costs(way)}"]
        if way.hardest is not None:
            out.append(f"  hardest: {_hardest(way, result)}")
        out += _path(result)
        alike: dict[tuple[str, str], list[Problem]] = {}
        for problem in trouble:
            alike.setdefault((problem.what, problem.instead), []).append(problem)
        for (_, instead), (first, *more) in alike.items():
            line, column = lines.place(first.span.start)
            also = f" (also {'; '.join(other.where for other in more)})" if more else ""
            out.append(f"  {line}:{column}: {first.message}{also}")
            out.append(f"      instead: {instead}")
        click.echo("\n".join(out), err=quiet)


def _costs(way: Way) -> str:
    kinds = sorted(
        ((value, name) for name, value in way.cost._asdict().items() if value >= 0.05), reverse=True
    )
    parts = ", ".join(f"{name} {value:.1f}" for value, name in kinds)
    shifts = len(way.shifts)
    return f"{shifts or 'no'} shift{'s' if shifts != 1 else ''}; cost {way.cost.total:.1f}" + (
        f" ({parts})" if parts else ""
    )


def _hardest(way: Way, result: Fingered) -> str:
    """The dearest moment in words: where, which note, and why."""
    assert way.hardest is not None
    i = way.hardest
    place, grip = result.line.places[i], result.grips[i]
    bar = result.piece.bars[place.bar]
    text = where(bar, place.event)
    if grip is None:
        return text
    tuning = bar.in_force.tuning
    text += f", `{grip_name(grip, tuning)}`"
    shift = next((s for s in way.shifts if s.at == i), None)
    if shift is not None:
        return (
            f"{text}: position {roman(shift.here)} to {roman(shift.there)}, "
            f"{shift.mm / 10:.0f} cm in {shift.seconds:.2f} s"
        )
    name, value = max(way.bill[i]._asdict().items(), key=lambda item: item[1])
    return f"{text}: {'open string' if name == 'open' else name}" if value else text


def _path(result: Fingered) -> list[str]:
    rows: list[str] = []
    line = result.line
    by_bar: dict[int, list[int]] = {}
    for i, place in enumerate(line.places):
        by_bar.setdefault(place.bar, []).append(i)
    names = {bar: bar_name(result.piece.bars[bar].number) for bar in by_bar}
    hands = {
        bar: "-".join(
            dict.fromkeys(roman(g.hand) for i in row if (g := result.grips[i]) and not g.frees_the_hand)
        )
        for bar, row in by_bar.items()
    }
    wide = max(map(len, names.values()))
    hand_wide = max(map(len, hands.values()))
    for bar, row in by_bar.items():
        tuning = result.piece.bars[bar].in_force.tuning
        notes = " ".join(grip_name(g, tuning) if (g := result.grips[i]) else "?" for i in row)
        rows.append(f"  {names[bar]:<{wide}}  {hands[bar]:<{hand_wide}}  {notes}")
    return rows


def _record(way: Way, line: Line, piece: Piece, trouble: Sequence[Problem]) -> dict[str, object]:
    path = []
    for place, grip, cost in zip(line.places, way.grips, way.bill, strict=True):
        bar = piece.bars[place.bar]
        path.append(
            {
                "bar": bar.number,
                "onset": str(bar.events[place.event].onset),
                "grace": place.grace >= 0,
                "position": None if grip is None or grip.frees_the_hand else grip.hand,
                "notes": [stop._asdict() for stop in grip.stops] if grip else [],
                "cost": round(cost.total, 3),
            }
        )
    return {
        "name": way.name,
        "cost": {name: round(value, 3) for name, value in way.cost._asdict().items()},
        "total": round(way.cost.total, 3),
        "shifts": [
            {
                "note": s.at,
                "from": s.here,
                "to": s.there,
                "mm": round(s.mm, 1),
                "seconds": round(s.seconds, 3),
            }
            for s in way.shifts
        ],
        "hardest": way.hardest,
        "path": path,
        "problems": [
            {"kind": p.kind, "note": p.moment, "message": p.message, "instead": p.instead} for p in trouble
        ],
    }
