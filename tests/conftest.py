"""For all tests: nothing is remembered from one run to another but in a folder of its own."""

from __future__ import annotations

import os
from collections.abc import Iterator

import pytest


@pytest.fixture(scope="session", autouse=True)
def remembered_apart(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Keep the shapes that runs remember out of the cache of whoever runs the tests."""
    before = os.environ.get("PROOFHOOK_CACHE")
    os.environ["PROOFHOOK_CACHE"] = str(tmp_path_factory.mktemp("cache"))
    yield
    if before is None:
        del os.environ["PROOFHOOK_CACHE"]
    else:
        os.environ["PROOFHOOK_CACHE"] = before
