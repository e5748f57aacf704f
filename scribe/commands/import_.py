"""`scribe import`: scores of other programs as drafts, one file or a whole folder."""

from __future__ import annotations

import re
import sys
from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import NamedTuple

import click

from scribe.commands.files import SUFFIX, stop, write_whole
from scribe.exchange.draft import with_blanks
from scribe.exchange.guard import too_large
from scribe.exchange.known import NOTHING, Known
from scribe.exchange.model import Cannot
from scribe.exchange.worker import Draft, Worker
from scribe.music.metre import parse_metre
from scribe.music.settings import parse_feel, parse_tempo

KINDS = (".musicxml", ".xml", ".mxl", ".mei", ".mid", ".midi")

PLAYED = (".mid", ".midi")  # of a tune in both, the notated score gets its name: it says more
DAMAGED = re.compile(r": (damaged|expected MusicXML|not understood)")
MEND = "hint: open these in the program that wrote them, and export them again as MusicXML"


class Job(NamedTuple):
    """A score, and the draft to be made of it."""

    source: Path
    target: Path


@click.command()
@click.argument("paths", nargs=-1, required=True, metavar="PATH...")
@click.option(
    "-o",
    "--output",
    required=True,
    metavar="OUT",
    help="A folder; for a single score also a name ending in .scribe.",
)
@click.option(
    "--part", metavar="PART", help="Which part: its number from 1, its name, or words of it (`bass`)."
)
@click.option("--voice", type=click.IntRange(min=1), metavar="N", help="Which voice of the part, from 1.")
@click.option(
    "--time", "metre", metavar="METRE", help="MIDI only: the metre, as in a draft (`6/8`, `7/8 2+2+3`)."
)
@click.option("--tempo", metavar="TEMPO", help="MIDI only: the tempo (`92`, `dotted-quarter 92`), about.")
@click.option("--feel", metavar="FEEL", help="MIDI only: the feel (`straight`, `swing`, `swing 16ths`).")
@click.option(
    "--blanks", is_flag=True, help="Write blanks beside barlines, and a barline at each line's end."
)
@click.option("--force", is_flag=True, help="Write over drafts that are there already.")
def command(
    paths: tuple[str, ...],
    output: str,
    part: str | None,
    voice: int | None,
    metre: str | None,
    tempo: str | None,
    feel: str | None,
    blanks: bool,
    force: bool,
) -> None:
    """Make drafts of scores: MusicXML (.musicxml, .xml, .mxl), MEI and MIDI.

    PATH is a score or a folder of scores, whose folders are kept. Without --part and --voice a part that is named
    as one for a bass is taken, else the lowest line; chords count as two octaves higher. What a draft cannot say
    stands in it as a comment at its bar. Of MIDI played without a click the tempo, metre and feel are found, and it
    is said how sure that is; --time, --tempo and --feel say what you know. Drafts that are there are left alone, so
    that a run that was broken off can be started again. The exit status is 0 if all went well, 1 if a score could
    not be taken in, 2 if a path cannot be read.
    """
    known = _known(metre, tempo, feel)
    jobs = list(_jobs(paths, Path(output)))
    if not jobs:
        stop(f"no scores ({', '.join(KINDS)}) there")
    notated = next((job.source for job in jobs if job.source.suffix.lower() not in PLAYED), None)
    if known != NOTHING and notated is not None:
        stop(f"{notated}: --time, --tempo and --feel are for MIDI files; notation says these itself")
    waiting = [job for job in jobs if force or not job.target.exists()]
    there = len(jobs) - len(waiting)
    if there and len(jobs) == 1:
        stop(f"{jobs[0].target} is there already; --force writes over it")
    failed: list[str] = []
    with Worker() as worker:
        try:
            made = _run(waiting, worker, part, voice, known, failed, blanks=blanks)
        except KeyboardInterrupt:
            click.echo("broken off; the drafts made so far are whole, run it again for the rest", err=True)
            sys.exit(130)
    for line in failed:
        click.echo(line, err=True)
    if any(DAMAGED.search(line) for line in failed):
        click.echo(MEND, err=True)
    for job in jobs:
        if job not in waiting:
            click.echo(f"{job.target}: there already, left as it is; not made of {job.source}")
    if len(jobs) > 1:
        click.echo(_sum(made, len(failed), there, _others(paths)))
    sys.exit(1 if failed else 0)


def _known(metre: str | None, tempo: str | None, feel: str | None) -> Known:
    """Read what the user knows, typed as in a draft."""
    said = Known(
        parse_metre(metre) if metre is not None else None,
        parse_tempo(tempo) if tempo is not None else None,
        parse_feel(feel) if feel is not None else None,
    )
    if metre is not None and said.metre is None:
        stop(f"--time: expected a metre such as `6/8` or `7/8 2+2+3`, found `{metre}`")
    if tempo is not None and (said.tempo is None or said.tempo.bpm is None):
        stop(f"--tempo: expected a number such as `92` or `dotted-quarter 92`, found `{tempo}`")
    if feel is not None and said.feel is None:
        stop(f"--feel: expected `straight`, `swing`, `swing 16ths`, `shuffle` or `triplet`, found `{feel}`")
    return said


def _run(
    jobs: Sequence[Job],
    worker: Worker,
    part: str | None,
    voice: int | None,
    known: Known,
    failed: list[str],
    *,
    blanks: bool,
) -> list[Draft]:
    made: list[Draft] = []
    lines: list[str] = []
    quiet = not sys.stderr.isatty() or len(jobs) < 2
    bar = click.progressbar(jobs, file=sys.stderr, label="taking in", show_pos=True, hidden=quiet)
    with bar as each:
        for job in each:
            try:
                draft = worker.run(_read(job.source), part, voice, known)
            except Cannot as fault:
                failed.append(f"{job.source}: {fault}")
                continue
            text = with_blanks(draft.text) if blanks else draft.text
            write_whole(job.target, text.encode())
            made.append(draft)
            lines.append(f"{job.target}: {told(draft)}")
            if quiet:
                click.echo(lines[-1])
    if not quiet:  # beside the bar there is no room for them
        for line, draft in zip(lines, made, strict=True):
            if draft.wrong or draft.unsaid or draft.remarks:
                click.echo(line)
    return made


def _read(path: Path) -> bytes:
    """Read a file whose size is bearable. Raises Cannot."""
    try:
        fault = too_large(path.stat().st_size)
        if fault is not None:
            raise fault
        return path.read_bytes()
    except OSError as error:
        raise Cannot(f"cannot be read: {(error.strerror or str(error)).lower()}") from None


def told(draft: Draft) -> str:
    """Say what was taken and how well, in one line."""
    said = [f"{draft.source}" + (f" of {draft.others + 1}" if draft.others else "")]
    said.append(
        f"{draft.notes} note{'s' if draft.notes != 1 else ''} in {draft.bars} bar{'s' if draft.bars != 1 else ''}"
    )
    if draft.wrong:
        said.append(f"{draft.wrong} of them not exact")
    if draft.unsaid:
        said.append(f"{_remarks(draft.unsaid)} in comments")
    if draft.confidence < 1:
        said.append(f"confidence {draft.confidence:.0%}")
    return "; ".join([*said, *draft.remarks])


def _remarks(count: int) -> str:
    return f"{count} remark{'s' if count != 1 else ''}"


def _sum(made: Sequence[Draft], failed: int, there: int, others: Counter[str]) -> str:
    notes, wrong = sum(d.notes for d in made), sum(d.wrong for d in made)
    said = [f"{len(made)} draft{'s' if len(made) != 1 else ''} made", f"{notes} notes"]
    said += [f"{wrong} not exact"] if wrong else []
    said += [f"{_remarks(sum(d.unsaid for d in made))} in comments"]
    said += [f"{there} there already (--force writes over them)"] if there else []
    said += [f"{failed} failed"] if failed else []
    if others:
        count = others.total()
        said.append(f"{count} other file{'s' if count != 1 else ''} left aside ({', '.join(sorted(others))})")
    return ", ".join(said)


def _jobs(paths: Sequence[str], output: Path) -> Iterator[Job]:
    """Every score and its draft; no two scores get one draft."""
    taken: set[Path] = set()
    if output.suffix == SUFFIX:
        if len(paths) != 1 or Path(paths[0]).is_dir():
            stop(f"{output}: one draft can hold one score; give a folder for several")
        yield Job(_there(Path(paths[0])), output)
        return
    if len(paths) == 1 and output.suffix and not output.is_dir() and Path(paths[0]).is_file():
        stop(
            f"{output}: a draft's name ends in {SUFFIX}: {output.with_suffix(SUFFIX)}; make a folder of that name first"
        )
    for text in paths:
        path = _there(Path(text))
        if not path.is_dir():
            yield Job(path, _free(output / path.name, taken))
            continue
        for source in sorted(_scores(path), key=lambda p: (p.suffix.lower() in PLAYED, p)):
            yield Job(source, _free(output / source.relative_to(path), taken))


def _files(folder: Path) -> Iterator[Path]:
    """The files of a folder and its folders, but for hidden ones: `._tune.xml` is no score of its own."""
    for path in folder.rglob("*"):
        inside = path.relative_to(folder).parts
        if path.is_file() and not any(name.startswith(".") or name == "__MACOSX" for name in inside):
            yield path


def _scores(folder: Path) -> Iterator[Path]:
    return (path for path in _files(folder) if path.suffix.lower() in KINDS)


def _others(paths: Sequence[str]) -> Counter[str]:
    """How the names of the files end that are no scores, in the folders asked for; drafts do not count."""
    return Counter(
        path.suffix.lower() or path.name
        for text in paths
        if Path(text).is_dir()
        for path in _files(Path(text))
        if path.suffix.lower() not in (*KINDS, SUFFIX)
    )


def _there(path: Path) -> Path:
    if not path.exists():
        stop(f"{path}: cannot be read: no such file or directory")
    return path


def _free(name: Path, taken: set[Path]) -> Path:
    """`tune.mxl` becomes `tune.scribe`, or `tune.mxl.scribe` if another score took that name."""
    target = name.with_suffix(SUFFIX)
    number = 2
    while target in taken:
        target = name.with_name(f"{name.name}{'' if number == 2 else f'-{number}'}{SUFFIX}")
        number += 1
    taken.add(target)
    return target
