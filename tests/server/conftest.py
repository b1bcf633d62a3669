"""Fixtures of the station's tests: an app in an empty folder, a client, a tablet."""

import pytest
from flask import Flask
from flask.testing import FlaskClient
from jinja2 import FileSystemBytecodeCache

from checklist import create_app
from checklist.config import Settings
from checklist.web.parts import NAME, Parts
from tests.server.tablet import Tablet

SHELL = {
    "index.html": "<!doctype html><title>tablet</title>",
    "manifest.webmanifest": "{}",
    "sw.js": "// worker",
    "css/station.css": "",
}


@pytest.fixture(scope="session")
def shell_folder(tmp_path_factory):
    """Make the least tablet app a station can serve; the real one has its own tests."""
    folder = tmp_path_factory.mktemp("static")
    for name, text in SHELL.items():
        (folder / name).parent.mkdir(exist_ok=True)
        (folder / name).write_text(text)
    return folder


@pytest.fixture(scope="session", autouse=True)
def templates_compiled_once(tmp_path_factory):
    """Keep what was compiled of a page: every app of a test would do it anew."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Flask, "jinja_options", {"bytecode_cache": FileSystemBytecodeCache(str(tmp_path_factory.mktemp("templates")))})
        yield


@pytest.fixture
def settings(tmp_path, shell_folder) -> Settings:
    """Give settings with an empty data folder."""
    return Settings(data=tmp_path / "data", static=shell_folder)


@pytest.fixture
def open_app(settings):
    """Open an app, as often as a test starts the station again."""
    opened = []

    def open_it(with_settings: Settings = settings) -> Flask:
        app = create_app(with_settings)
        opened.append(app)
        return app

    yield open_it
    for app in opened:
        app.extensions[NAME].journal.close()


@pytest.fixture
def app(open_app) -> Flask:
    """Give a running app."""
    return open_app()


@pytest.fixture
def station(app) -> Parts:
    """Give the parts of the running app, to look at what is really stored."""
    return app.extensions[NAME]


@pytest.fixture
def client(app) -> FlaskClient:
    """Give a client of the running app."""
    return app.test_client()


@pytest.fixture
def tablet(client) -> Tablet:
    """Give a tablet that may send."""
    admitted = Tablet()
    assert admitted.ask(client).status_code == 201
    return admitted


@pytest.fixture
def stored(station):
    """Count what is stored in a table."""

    def count(table: str = "event") -> int:
        return station.journal.reader.execute(f"select count(*) from {table}").fetchone()[0]

    return count
