"""The engraver's own process: documents in, Verovio's drawings out. Run as a script; nothing of scribe is imported.

Verovio holds the interpreter lock while it works and ends the whole process on some documents; here it can do both
without harm. Requests and answers are pickles on standard input and output: (document, options) is answered by the
list of its pages, or by a string that says why there are none.
"""

from __future__ import annotations

import os
import pickle
import signal
import sys
from importlib.resources import files


def main() -> None:
    """Answer requests until standard input ends."""
    signal.signal(
        signal.SIGINT, signal.SIG_IGN
    )  # Ctrl-C reaches every process of the terminal; the parent ends us
    answers = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)  # whatever Verovio prints must not come between the answers
    import verovio

    verovio.setDefaultResourcePath(str(files("verovio") / "data"))
    verovio.enableLog(verovio.LOG_OFF)
    toolkit = verovio.toolkit()
    requests = sys.stdin.buffer
    while True:
        try:
            document, options = pickle.load(requests)
        except EOFError:
            return
        pages: list[str] | str
        try:
            toolkit.setOptions(options)
            if toolkit.loadData(document):
                pages = [str(toolkit.renderToSVG(page + 1)) for page in range(toolkit.getPageCount())]
            else:
                pages = "the engraver does not take this system"
        except Exception as fault:
            pages = f"the engraver does not take this system: {fault}"
        pickle.dump(pages, answers, pickle.HIGHEST_PROTOCOL)
        answers.flush()


if __name__ == "__main__":
    main()
