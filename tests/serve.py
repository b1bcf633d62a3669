"""Serve one static folder as a tablet app, in a process that a test may kill.

Run by tests.servers. With --spoil the named files are cut short on their way, as a
captive portal or a broken line would do.
"""

import argparse
import json
import sys
from pathlib import Path

# No station has them; where the tests' references bring them along, sqlite-utils loads both at every start.
for _unused in ("pandas", "numpy"):
    sys.modules.setdefault(_unused, None)

from cheroot.wsgi import Server
from flask import Flask, request

from checklist.releases import Releases
from checklist.shell import Release
from checklist.tables import TRANSLATIONS
from checklist.web.shell_pages import blueprint


def shell_only(static: Path, spoiled: str | None, kept: Path | None = None) -> Flask:
    """Make an app that knows nothing but the shell; `kept` is a folder with packs, clips and the list of pages."""
    app = Flask("shell", static_folder=None)
    release = Release.build(static, **_kept(kept)) if kept else Release.build(static, {})
    app.register_blueprint(blueprint(Releases(lambda: release)))

    @app.get("/health")
    def health() -> dict:
        return {"release": release.name}

    @app.after_request
    def spoil(response):
        if spoiled and request.path.endswith(spoiled):
            response.set_data(response.get_data()[:100])
        return response

    return app


def _kept(folder: Path) -> dict:
    return {
        "packs": {path.stem: path.read_bytes() for path in sorted((folder / "packs").glob("*.json"))},
        "voice": {path.stem: path.read_bytes() for path in sorted((folder / "voice").glob("*.webm"))},
        "pages": json.loads((folder / "pages.json").read_text(encoding="utf-8")),
    }


def station(static: Path, data: Path, translations: Path, ready: list[str], demo: bool) -> Flask:
    """Make the real station over a static folder of a test's own."""
    from checklist import create_app
    from checklist.config import Settings

    return create_app(Settings(data=data, static=static, translations=translations, ready=frozenset(ready), demo=demo))


def main() -> None:
    """Serve until killed."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--port", type=int, required=True)
    parser.add_argument("--static", type=Path, required=True)
    parser.add_argument("--data", type=Path, help="serve the whole station, its journal here")
    parser.add_argument("--translations", type=Path, default=TRANSLATIONS)
    parser.add_argument("--packs", type=Path, help="folder of packs to serve without a station")
    parser.add_argument("--ready", nargs="*", default=[], help="languages to take for approved")
    parser.add_argument("--demo", action="store_true", help="everything is invented")
    parser.add_argument("--spoil", help="end of the addresses to cut short")
    told = parser.parse_args()
    app = station(told.static, told.data, told.translations, told.ready, told.demo) if told.data else shell_only(told.static, told.spoil, told.packs)
    Server(("127.0.0.1", told.port), app, numthreads=24, timeout=5).start()


if __name__ == "__main__":
    main()
