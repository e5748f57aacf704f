"""The printer's own process: takes texts, writes pages. A document that stops Verovio stops only this."""

from __future__ import annotations

import os
import pickle
import signal
import sys
import tempfile
from pathlib import Path

from scribe.pipeline import compile, engrave


def print_pages(text: str, stem: Path, pdf: bool) -> None:
    """Write `stem.svg`, or `stem-1.svg` … where there are several pages, and `stem.pdf`; remove what is left over.

    Every file appears whole or not at all. Raises OSError if that cannot be done.
    """
    compiled = compile(text)
    if not compiled.piece.bars:
        return
    pages = engrave(compiled)
    count = len(pages.svgs)
    paths = [
        stem.with_name(f"{stem.name}.svg" if count == 1 else f"{stem.name}-{i + 1}.svg") for i in range(count)
    ]
    for path, svg in zip(paths, pages.svgs, strict=True):
        _write(path, svg.encode())
    if pdf:
        from scribe.engrave.output.pdf import pdf as to_pdf

        size = (pages.width_mm, pages.height_mm)
        _write(stem.with_name(f"{stem.name}.pdf"), to_pdf(pages.svgs, pages.title, pages.composer, size))
    keep = set(paths)
    left_over = [stem.with_name(f"{stem.name}.svg")]
    number = 1
    while (path := stem.with_name(f"{stem.name}-{number}.svg")) in keep or path.exists():
        left_over.append(path)
        number += 1
    for path in left_over:
        if path not in keep:
            path.unlink(missing_ok=True)


def _write(path: Path, data: bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    try:
        with os.fdopen(handle, "wb") as out:
            out.write(data)
        os.chmod(name, 0o644)
        os.replace(name, path)
    except BaseException:
        os.unlink(name)
        raise


def main() -> None:
    """Answer requests (text, stem, pdf) until standard input ends, each with a fault in words or an empty string."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    answers = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    while True:
        try:
            text, stem, pdf = pickle.load(sys.stdin.buffer)
        except EOFError:
            return
        answer = ""
        try:
            print_pages(text, Path(stem), pdf)
        except OSError as fault:
            answer = f"not written: {(fault.strerror or str(fault)).lower()}"
        except Exception as fault:
            answer = f"not written: {fault}"
        pickle.dump(answer, answers)
        answers.flush()


if __name__ == "__main__":
    main()
