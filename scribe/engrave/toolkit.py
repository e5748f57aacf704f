"""The call of Verovio: MEI in, SVG out. One toolkit a thread, made at first use."""

from __future__ import annotations

import threading
from typing import Any

_local = threading.local()


def render(mei: str, options: dict[str, object]) -> list[str]:
    """Return Verovio's pages of a document as SVG.

    Raises ValueError if Verovio does not take the document. It ends the whole process on letters where it expects
    numbers (frets, octaves, time stamps): our writer puts only numbers there.
    """
    toolkit = _toolkit()
    if getattr(_local, "options", None) != options:
        toolkit.setOptions(options)
        _local.options = dict(options)
    if not toolkit.loadData(mei):
        raise ValueError("verovio does not take this document")
    pages = [toolkit.renderToSVG(number + 1) for number in range(toolkit.getPageCount())]
    return [str(page) for page in pages]


def _toolkit() -> Any:
    toolkit = getattr(_local, "toolkit", None)
    if toolkit is None:
        # Where Verovio's fonts lie is remembered for each thread by itself.
        from importlib.resources import files

        import verovio

        verovio.setDefaultResourcePath(str(files("verovio") / "data"))
        verovio.enableLog(verovio.LOG_OFF)
        toolkit = _local.toolkit = verovio.toolkit()
    return toolkit
