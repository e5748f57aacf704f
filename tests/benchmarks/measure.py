"""Timing for the benchmarks."""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from statistics import median


def seconds(action: Callable[[], object], rounds: int = 7) -> float:
    """Median wall time of `rounds` calls."""
    taken = []
    for _ in range(rounds):
        start = time.perf_counter()
        action()
        taken.append(time.perf_counter() - start)
    return median(taken)


def process(arguments: Sequence[str], rounds: int = 9) -> float:
    """Median wall time of a whole Python process."""
    return seconds(
        lambda: subprocess.run([sys.executable, *arguments], check=False, capture_output=True), rounds
    )


def row(name: str, value: float, unit: str, aim: float) -> None:
    """Print one figure beside its aim."""
    verdict = "met" if value <= aim else "MISSED"
    print(f"{name:<68} {value:8.2f} {unit:<4} aim at most {aim:g} {unit}: {verdict}")
