"""Options of the whole suite, and fixtures that several files of it share."""

from __future__ import annotations

import pytest

from tests.browser_help import browser, page_of, watch  # noqa: F401 - fixtures of the tests in a browser


def pytest_addoption(parser: pytest.Parser) -> None:
    """`--renew-pictures` stores the pages of the demos anew; look at them before you commit them."""
    parser.addoption(
        "--renew-pictures", action="store_true", help="store the reference pictures of the demos anew"
    )
