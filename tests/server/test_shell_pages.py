"""The tablet app as it is served: named by content, kept for ever, guarded, with its spare copy."""

import base64
import gzip
import hashlib
import json
import re

import pytest
from flask import Flask

from checklist.releases import Releases
from checklist.shell import HEADERS, Release
from checklist.web.shell_pages import blueprint

PAGE = '<!doctype html><link rel="icon" href="/r/__REL__/icon.png"><script src="/r/__REL__/app.js"></script>'
PACK = json.dumps({"name": "English", "dir": "ltr", "m": {"stop": "Stop"}}).encode()


@pytest.fixture
def static(tmp_path):
    (tmp_path / "index.html").write_text(PAGE)
    (tmp_path / "manifest.webmanifest").write_text('{"icon": "/r/__REL__/icon.png"}')
    (tmp_path / "app.js").write_text("export const words = 1;\n" * 200)
    (tmp_path / "icon.png").write_bytes(b"\x89PNG" + bytes(100))
    (tmp_path / "sw.js").write_text("// the worker\n")
    (tmp_path / "app.js.swp").write_text("an editor's leftovers")
    return tmp_path


@pytest.fixture
def release(static) -> Release:
    return Release.build(static, {"en": PACK})


@pytest.fixture
def client(release):
    app = Flask("test", static_folder=None)
    app.register_blueprint(blueprint(Releases(lambda: release)))
    return app.test_client()


def constants(release: Release) -> dict:
    """Read what the station wrote in front of the worker."""
    text = release.worker.decode()
    return {name: json.loads(value) for name, value in
            re.findall(r"^const ([A-Z]+)=(.*?);$", text, re.MULTILINE | re.DOTALL)}


def test_the_page_names_its_release_and_every_file_it_asks_for_is_there(client, release):
    page = client.get("/").get_data(as_text=True)

    addresses = re.findall(r'(?:href|src)="([^"]+)"', page)
    assert f"/r/{release.name}/app.js" in addresses
    assert [client.get(address).status_code for address in addresses] == [200] * len(addresses)
    assert release.name in client.get(f"/r/{release.name}/manifest.webmanifest").get_data(as_text=True)


def test_the_pack_is_part_of_the_release(client, release):
    answer = client.get(f"/r/{release.name}/packs/en.json")

    assert answer.get_json()["m"] == {"stop": "Stop"}


@pytest.mark.parametrize("change", [
    lambda static: (static / "app.js").write_text("other"),
    lambda static: (static / "sw.js").write_text("// other"),
    lambda static: (static / "more.css").write_text(""),
    lambda static: (static / "icon.png").rename(static / "mark.png"),
], ids=["a file", "the worker", "a new file", "a new name"])
def test_any_change_is_another_release(static, release, change):
    change(static)

    assert Release.build(static, {"en": PACK}).name != release.name


def test_other_words_are_another_release_and_the_same_bytes_the_same_one(static, release):
    assert Release.build(static, {"en": PACK.replace(b"Stop", b"Halt")}).name != release.name
    assert Release.build(static, {"en": PACK}) == release


def test_a_file_of_another_release_is_not_there(client):
    assert client.get("/r/0123456789abcdef/app.js").status_code == 404


def test_files_are_kept_for_ever_and_what_names_them_is_asked_for_each_time(client, release):
    kept = {path: client.get(path).headers["Cache-Control"]
            for path in ("/", "/sw.js", f"/r/{release.name}/app.js")}

    assert list(kept.values()) == ["no-cache", "no-cache", "public, max-age=31536000, immutable"]


@pytest.mark.parametrize("path", ["/", "/sw.js", "/r/{name}/app.js", "/r/{name}/icon.png"])
def test_every_answer_carries_the_guards(client, release, path):
    headers = client.get(path.format(name=release.name)).headers

    assert {name: headers[name] for name in HEADERS} == HEADERS
    assert "require-trusted-types-for 'script'" in headers["Content-Security-Policy"]
    assert "unsafe" not in headers["Content-Security-Policy"]


def test_a_worker_that_did_not_change_is_not_sent_again(client):
    tag = client.get("/sw.js").headers["ETag"]

    again = client.get("/sw.js", headers={"If-None-Match": tag})

    assert (again.status_code, again.data) == (304, b"")


def test_texts_travel_packed_and_pictures_as_they_are(client, release):
    asked = {"Accept-Encoding": "gzip"}
    text = client.get(f"/r/{release.name}/app.js", headers=asked)
    picture = client.get(f"/r/{release.name}/icon.png", headers=asked)

    assert gzip.decompress(text.data) == release.files[f"/r/{release.name}/app.js"].data
    assert text.headers["Vary"] == "Accept-Encoding"
    assert "Content-Encoding" not in picture.headers


def test_the_worker_knows_the_digest_of_every_file(release):
    told = constants(release)

    assert told["RELEASE"] == release.name
    assert set(told["FILES"]) == set(release.files)
    for address, file in release.files.items():
        digest = base64.b64encode(hashlib.sha256(file.data).digest()).decode()
        assert told["FILES"][address] == f"sha256-{digest}"


def test_the_spare_copy_is_whole_and_holds_no_picture(release):
    spare = constants(release)["EMBED"]

    for address, (kind, packed) in spare.items():
        assert gzip.decompress(base64.b64decode(packed)) == release.files[address].data
        assert kind == release.files[address].type
    assert set(release.files) - set(spare) == {f"/r/{release.name}/icon.png"}


def test_an_editor_s_leftovers_are_no_part_of_it(release):
    assert not any("swp" in address for address in release.files)


def test_the_page_names_the_modules_of_its_start_and_none_that_is_read_later(static):
    (static / "index.html").write_text(PAGE + "__MODULES__")
    (static / "app.js").write_text('import {\n  one,\n} from "./ui/one.js";\nimport("./later.js");\n')
    (static / "ui").mkdir()
    (static / "ui" / "one.js").write_text('export { two } from "../two.js";\n')
    (static / "two.js").write_text("export const two = 2;\n")
    (static / "later.js").write_text("export const later = 3;\n")

    release = Release.build(static, {"en": PACK})

    page = release.files["/"].data.decode()
    named = re.findall(r'modulepreload" href="/r/[0-9a-f]{16}/([^"]+)"', page)
    assert named == ["app.js", "two.js", "ui/one.js"]
    assert f"/r/{release.name}/later.js" in release.files


def test_the_spare_copy_holds_ready_words_and_neither_drafts_nor_voices_nor_fonts(static):
    draft = PACK.replace(b"{", b'{"kind": "draft", ', 1)
    release = Release.build(static, {"en": PACK, "fr": draft, "sw": PACK}, voice={"a": b"clip"}, pages={"home": "bedside"})

    spare = json.loads(release.worker.split(b"const EMBED=")[1].split(b";\n")[0])
    names = {address.split("/", 3)[-1] for address in spare}
    assert {"packs/en.json", "packs/sw.json"} <= names
    assert not {"packs/fr.json", "voice/a.webm"} & names
    assert {"packs/fr.json", "voice/a.webm"} <= {address.split("/", 3)[-1] for address in release.files}
    assert next(file for address, file in release.files.items() if address.endswith("a.webm")).type == "audio/webm"


def test_the_contents_tell_of_each_language_before_its_pack_is_read(static):
    release = Release.build(static, {"en": PACK}, pages={"home": "bedside"})

    told = json.loads(next(file.data for address, file in release.files.items() if address.endswith("contents.json")))

    assert told["pages"] == {"home": "bedside"} and [pack["tag"] for pack in told["packs"]] == ["en"]
