"""Fixtures of the work on languages: a small translations folder, and its workshop."""

import pytest

from checklist.translation.source import read_source
from checklist.translation.workshop import Workshop
from tests.translation.small import fill


@pytest.fixture
def shipped(tmp_path):
    """Give a translations folder with five English sentences in two lists."""
    return fill(tmp_path / "shipped")


@pytest.fixture
def source(shipped):
    """Give the English of the small folder."""
    return read_source(shipped / "en")


@pytest.fixture
def workshop(shipped, tmp_path):
    """Give a workshop with nothing of its own yet."""
    return Workshop(shipped, tmp_path / "own")


@pytest.fixture
def folder(workshop):
    """Give a language that no library knows, just begun."""
    return workshop.add("qvv")
