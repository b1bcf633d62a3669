"""Name one release of the tablet app by its content, and say what the tablet must keep.

A release is a folder of addresses, so relative imports work without a build
step, and its name changes exactly when any of its bytes change. Knows no Flask.
"""

import base64
import gzip
import hashlib
import json
import posixpath
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path, PurePosixPath

WORKER = "sw.js"
APP = "app.js"
# A static import, as the style of the modules writes it; import() is what may wait.
IMPORTS = re.compile(rb'^(?:import|export)\b[^;]*?\bfrom "(\.[^"]+)";', re.MULTILINE)
PAGE = "index.html"
CONTENTS = "contents.json"
# What is told of a language before its pack is read.
OF_A_PACK = ("name", "dir", "script", "sample", "kind", "lists", "fallback")
NAMES_RELEASE = (PAGE, "manifest.webmanifest")
TYPES = {
    ".css": "text/css; charset=utf-8",
    ".html": "text/html; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".json": "application/json",
    ".m4a": "audio/mp4",
    ".mp3": "audio/mpeg",
    ".ogg": "audio/ogg",
    ".opus": "audio/ogg",
    ".png": "image/png",
    ".svg": "image/svg+xml",
    ".txt": "text/plain; charset=utf-8",
    ".wasm": "application/wasm",
    ".wav": "audio/wav",
    ".webm": "audio/webm",
    ".webmanifest": "application/manifest+json",
    ".webp": "image/webp",
    ".woff2": "font/woff2",
}
# What the app cannot start without. Pictures, fonts, voices and drafts would make the
# worker's own script, read at every start, many times larger.
SPARE = frozenset({".css", ".html", ".js", ".json", ".svg", ".webmanifest"})
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; font-src 'self'; "
    "media-src 'self'; connect-src 'self'; manifest-src 'self'; worker-src 'self'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'; "
    "require-trusted-types-for 'script'; trusted-types shell"
)
HEADERS = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "screen-wake-lock=(self), camera=(), microphone=(self), geolocation=()",
}


@dataclass(frozen=True)
class File:
    """One file of a release as it is sent: its bytes, type and digest."""

    data: bytes
    type: str
    integrity: str

    @property
    def shrinks(self) -> bool:
        """Tell whether compression makes it smaller."""
        return self.type.startswith("text/") or "json" in self.type or "xml" in self.type

    @cached_property
    def packed(self) -> bytes:
        """Give its bytes compressed."""
        return gzip.compress(self.data, mtime=0)


@dataclass(frozen=True)
class Release:
    """Everything one version of the tablet app consists of.

    name: 16 hexadecimal digits; files: address -> File; worker: the script at /sw.js.
    """

    name: str
    files: Mapping[str, File]
    worker: bytes

    @cached_property
    def script(self) -> File:
        """Give the worker as it is sent."""
        return File(self.worker, TYPES[".js"], "")

    @classmethod
    def build(
        cls, static: Path, packs: Mapping[str, bytes], demo: bool = False, *,
        pages: Mapping[str, str] | None = None, voice: Mapping[str, bytes] | None = None,
    ) -> "Release":
        """Make the release of a static folder and its language packs (tag -> JSON bytes).

        pages: page -> list of words; voice: digest of a clip -> bytes. The release of a demo
        says so in its page, so that no tap of it can pass for real.
        """
        raw = dict(_read(static)) | {f"packs/{tag}.json": pack for tag, pack in packs.items()}
        raw |= {f"voice/{digest}.webm": clip for digest, clip in (voice or {}).items()}
        told = {tag: json.loads(pack) for tag, pack in packs.items()}
        drafts = {f"packs/{tag}.json" for tag, pack in told.items() if pack.get("kind") == "draft"}
        raw[CONTENTS] = _contents(raw, told, pages or {})
        raw[PAGE] = _page(raw, demo)
        name = _name(raw)
        worker = raw.pop(WORKER)
        files = {_address(name, path): _file(name, path, data) for path, data in sorted(raw.items())}
        return cls(name, files, _worker(name, files, worker, {_address(name, path) for path in drafts}))


def _read(static: Path) -> Iterator[tuple[str, bytes]]:
    for path in sorted(static.rglob("*")):
        # An editor's leftovers would otherwise change the release of a checkout.
        if path.is_file() and path.suffix in TYPES:
            yield path.relative_to(static).as_posix(), path.read_bytes()


def _contents(raw: Mapping[str, bytes], packs: Mapping[str, Mapping], pages: Mapping[str, str]) -> bytes:
    """List what the app may choose from: {"protocols": [file], "practice": [file], "packs": [{tag, …}], "pages": {page: list}}."""
    protocols = sorted(path for path in raw if path.startswith("protocols/"))
    practice = sorted(path for path in raw if path.startswith("practice/"))
    told = [
        {"tag": tag, **{name: pack[name] for name in OF_A_PACK if name in pack}}
        for tag, pack in sorted(packs.items())
    ]
    return json.dumps({"protocols": protocols, "practice": practice, "packs": told, "pages": pages}).encode()


def _page(raw: Mapping[str, bytes], demo: bool) -> bytes:
    """Fill the page; naming the modules of its start spares a cold start the walk along imports."""
    modules = sorted(_start(raw))
    links = "\n".join(f'<link rel="modulepreload" href="/r/__REL__/{path}">' for path in modules)
    page = raw[PAGE].replace(b"__MODULES__", links.encode())
    return page.replace(b"__DEMO__", b"demo" if demo else b"")


def _start(raw: Mapping[str, bytes]) -> set[str]:
    """Find what the app imports before its first picture, and nothing that it reads later."""
    found, ahead = set(), [APP] if APP in raw else []
    while ahead:
        path = ahead.pop()
        found.add(path)
        told = (posixpath.normpath(f"{PurePosixPath(path).parent}/{name.decode()}") for name in IMPORTS.findall(raw[path]))
        ahead += [name for name in told if name in raw and name not in found]
    return found


def _name(raw: Mapping[str, bytes]) -> str:
    whole = hashlib.sha256()
    for path, data in sorted(raw.items()):
        whole.update(path.encode() + b"\0" + hashlib.sha256(data).digest())
    # The headers are kept with each file, so a change of them is a new release too.
    whole.update(json.dumps(HEADERS).encode())
    return whole.hexdigest()[:16]


def _address(name: str, path: str) -> str:
    return "/" if path == PAGE else f"/r/{name}/{path}"


def _file(name: str, path: str, data: bytes) -> File:
    if path in NAMES_RELEASE:
        data = data.replace(b"__REL__", name.encode())
    digest = base64.b64encode(hashlib.sha256(data).digest()).decode()
    return File(data, TYPES[PurePosixPath(path).suffix], f"sha256-{digest}")


def _worker(name: str, files: Mapping[str, File], script: bytes, drafts: set[str]) -> bytes:
    spare = {
        address: [file.type, base64.b64encode(file.packed).decode()]
        for address, file in files.items()
        if (address == "/" or PurePosixPath(address).suffix in SPARE) and address not in drafts
    }
    constants = {
        "RELEASE": name,
        "FILES": {address: file.integrity for address, file in files.items()},
        "HEADERS": HEADERS,
        "EMBED": spare,
    }
    lines = [f"const {key}={json.dumps(value, indent=0)};" for key, value in constants.items()]
    return "\n".join(lines).encode() + b"\n" + script
