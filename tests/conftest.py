"""Options of the whole suite."""

from __future__ import annotations

import pytest


def pytest_addoption(parser: pytest.Parser) -> None:
    """`--renew-pictures` stores the pages of the demos anew; look at them before you commit them."""
    parser.addoption(
        "--renew-pictures", action="store_true", help="store the reference pictures of the demos anew"
    )
