"""What a week at two stations and their hub needs: real stations, browsers, files by hand.

Each station is the real command in a process of its own, at one port for its whole life.
"""

import base64
import hashlib
import re
import subprocess
import sys
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat
from playwright.sync_api import Browser, Page, expect

from checklist import certificate
from checklist.config import DATABASE
from checklist.journal import Journal
from tests.browser.app import WORDS, open_app
from tests.browser.posts import write_into
from tests.midwife import PATIENCE_MS, Midwife
from tests.servers import ROOT, Served

PASSWORD = "the river bends twice"


class Station(Served):
    """A station or hub as people run it: `checklist serve`, and the other commands beside it."""

    def __init__(self, data: Path, *options: str) -> None:
        super().__init__()
        self.data, self._options = data, options
        if options:
            self.url = f"https://127.0.0.1:{self.port}"

    def start(self) -> "Station":
        """Serve, and come back when it says that it does."""
        self.kill()
        self._process = subprocess.Popen(
            [sys.executable, "-u", "-m", "checklist", "serve", "--port", str(self.port), "--data", str(self.data), *self._options],
            cwd=ROOT, start_new_session=True, stdout=subprocess.PIPE, text=True,
        )
        said = self._process.stdout.readline()
        assert f":{self.port}/" in said, said
        return self

    def kill(self) -> None:
        """End it at once, and leave no pipe open."""
        process = self._process
        super().kill()
        if process:
            process.stdout.close()

    def run(self, *words: object) -> str:
        """Type a command at this station's machine; gives what it says."""
        return command(*words, data=self.data)

    def write(self, work):
        """Do in the journal what a page would do."""
        return write_into(self.data, work)

    def lines_of(self, logs: set[str]) -> list[str]:
        """Give every line of these logs that is stored here, sorted."""
        journal = Journal.open(self.data / DATABASE)
        try:
            rows = journal.reader.execute("select log, line from event join log using (log_no)").fetchall()
        finally:
            journal.close()
        return sorted(row["line"] for row in rows if row["log"] in logs)


def command(*words: object, data: Path) -> str:
    """Run a command of the program; one that fails fails the test with what it said."""
    ended = subprocess.run(
        [sys.executable, "-m", "checklist", *map(str, words), "--data", str(data)],
        cwd=ROOT, capture_output=True, text=True, timeout=60,
    )
    assert ended.returncode == 0, ended.stderr
    return ended.stdout


def certified(data: Path) -> Station:
    """Make a station with a certificate of its own authority."""
    data.mkdir()
    command("certificate", "localhost", "127.0.0.1", data=data)
    return Station(data, "--certificate", str(certificate.kept(data)))


def trusting(args: dict, leaf: Path) -> dict:
    """Give launch arguments of a browser that takes exactly this certificate for good.

    A tablet is told in its settings to trust the authority. Chromium on Linux reads its
    authorities from an NSS store, whose tool is not on every machine; naming the one key
    keeps every other check, and unlike a context that ignores all errors it leaves the
    page a secure one, with its service worker.
    """
    found = x509.load_pem_x509_certificate(leaf.read_bytes())
    key = found.public_key().public_bytes(Encoding.DER, PublicFormat.SubjectPublicKeyInfo)
    digest = base64.b64encode(hashlib.sha256(key).digest()).decode()
    return {**args, "args": [*args.get("args", []), f"--ignore-certificate-errors-spki-list={digest}"]}


def tablet(browser: Browser, url: str) -> Midwife:
    """Open the app in a browser of its own."""
    midwife = open_app(browser.new_context(service_workers="allow", accept_downloads=True), url)
    expect(midwife.page.get_by_text(WORDS.text("home.ready")).first).to_be_visible(timeout=2 * PATIENCE_MS)
    return midwife


def birth(midwife: Midwife, bed: str) -> None:
    """Tap through a whole birth and go back to the first screen."""
    midwife.start(bed)
    midwife.answer_all()
    midwife.decide()
    midwife.apply()
    midwife.pull(1, "perineum")
    midwife.begin_pull()
    midwife.head_out()
    midwife.cup_off()
    midwife.born()
    go_home(midwife)


def go_home(midwife: Midwife) -> None:
    midwife.tap("app.back", redraws=False)
    midwife.expect_screen("home")


def send(midwife: Midwife) -> None:
    """Tap the row of sending on the first screen and wait until all is sent."""
    midwife.page.locator("[data-key=send]").click()
    expect(midwife.page.locator("[data-key=send]")).to_contain_text(WORDS.text("home.all_sent"), timeout=PATIENCE_MS)


def pair(midwife: Midwife, code: str) -> None:
    """Type a one-time code in the settings."""
    midwife.page.locator("#pair-code").fill(code)
    midwife.page.locator("[data-key=pair]").click()


def told_in_settings(midwife: Midwife, name: str, **values: object) -> None:
    """Wait until the station's part of the settings says the sentence of this id."""
    said = WORDS.text(name, **values)
    expect(midwife.page.locator(".kept[role=status]", has_text=said).first).to_be_visible(timeout=2 * PATIENCE_MS)


def own_file(midwife: Midwife, folder: Path) -> Path:
    """Take the tablet's own file for the hub from its settings."""
    midwife.page.locator("[data-key=settings]").click()
    midwife.expect_screen("settings")
    with midwife.page.expect_download() as coming:
        midwife.page.locator("[data-key=stick]").click()
    kept = folder / coming.value.suggested_filename
    coming.value.save_as(kept)
    go_home(midwife)
    return kept


def sign_in(page: Page, link: str) -> None:
    """Open a one-time link and choose a password."""
    page.goto(link)
    page.fill("#chosen", PASSWORD)
    page.fill("#again", PASSWORD)
    page.get_by_role("button", name=WORDS.text("accounts.password.set")).click()
    expect(page).to_have_url(re.compile(r"/station/account$"))


def take_in(page: Page, url: str, file: Path) -> tuple[int, int]:
    """Hand a file to the hub's page, letting its sender in when asked: (entries, new ones)."""
    page.goto(f"{url}/station/stick")
    _hand_over(page, file)
    if page.locator("#admit").count():
        page.check("#admit")
        _hand_over(page, file)
    said = page.locator(".told").inner_text(timeout=PATIENCE_MS)
    events, new = re.findall(r"\d+", said)
    return int(events), int(new)


def _hand_over(page: Page, file: Path) -> None:
    page.set_input_files("input[type=file]", file)
    page.get_by_role("button", name=WORDS.text("stick.take")).click()
    page.wait_for_load_state()


def say_of(page: Page, url: str, bed: str, text: str) -> None:
    """Open the birth at this bed in the hub's history, and write a remark."""
    page.goto(f"{url}/station/")
    page.locator("tr", has=page.locator("bdi", has_text=re.compile(rf"^{bed}$"))).get_by_role("link").click(timeout=PATIENCE_MS)
    page.fill("#text", text)
    page.get_by_role("button", name=WORDS.text("remarks.send")).click()
    expect(page.locator("#remarks .timeline")).to_contain_text(text)
