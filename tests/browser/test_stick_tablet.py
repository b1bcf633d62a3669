"""The tablet seals as the RFC's numbers say, and the hub reads the file that it makes."""

import base64
import io
import json
from pathlib import Path

import pytest

from checklist import hpke, keys, sealing, stick_import
from checklist.errors import ChecklistError
from tests.halves import open_modules
from tests.server.near_hub import NOW, Post
from tests.server.sticks import contents

VECTOR = json.loads((Path(__file__).parents[1] / "vectors" / "hpke.json").read_text("utf-8"))
HELPERS = """
  const hex = (bytes) => Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  const raw = (text) => Uint8Array.from(text.match(/../g) ?? [], (pair) => parseInt(pair, 16));
  const url = (text) => btoa(String.fromCharCode(...raw(text))).replaceAll("+", "-").replaceAll("/", "_").replaceAll("=", "");
  const pair = async (scalar, point) => {
    const curve = { name: "ECDH", namedCurve: "P-256" };
    const jwk = { kty: "EC", crv: "P-256", x: url(point.slice(2, 66)), y: url(point.slice(66)), d: url(scalar) };
    return {
      privateKey: await crypto.subtle.importKey("jwk", jwk, curve, false, ["deriveBits"]),
      publicKey: await crypto.subtle.importKey("raw", raw(point), curve, true, []),
    };
  };
"""
# A journal of plain lists, and a device whose key is made in the page as on a tablet.
MAKE = """async ([statement, reached, count, text, at]) => {
  const { makeStick } = await import("/stick.js");
  const { seal } = await import("/core/event.js");
  const { hex, base64url, sha256, randomHex } = await import("/bytes.js");
  const rule = { name: "ECDSA", namedCurve: "P-256", hash: "SHA-256" };
  const keys = await crypto.subtle.generateKey(rule, false, ["sign", "verify"]);
  const point = new Uint8Array(await crypto.subtle.exportKey("raw", keys.publicKey));
  const device = {
    id: hex(await sha256(point)).slice(0, 32), key: base64url(point),
    sign: async (told) => base64url(new Uint8Array(
      await crypto.subtle.sign(rule, keys.privateKey, new TextEncoder().encode(told)))),
  };
  const log = randomHex(16);
  const line = (seq) => seal({
    log, seq, case: "", kind: "log_opened", at, boot: "00000001", tick: seq, ago: 0, protocol: "",
    facts: { device: device.id, why: text },
  });
  const lines = Array.from({ length: count }, (_, index) => line(index + 1));
  const journal = {
    readTips: async () => new Map([[log, lines.length]]),
    readLog: async (_, after, most = 500) => lines.slice(after, after + most),
  };
  const { afterAll, beginning } = await import("/chain.js");
  const { seq, hash } = await afterAll(await beginning(log), lines.slice(0, reached));
  const held = reached ? [[log, seq, hash]] : [];
  const { name, bytes, events } = await makeStick({ journal, device }, statement, held, at);
  let letters = "";
  for (const byte of bytes) letters += String.fromCharCode(byte);
  return { name, file: btoa(letters), events, lines, id: device.id };
}"""


@pytest.fixture(scope="module")
def page(browser):
    """Give a page that can import every module, with no server behind it."""
    with open_modules(browser) as opened:
        yield opened


@pytest.fixture
def hub(tmp_path):
    """Give a hub with a key to seal to, and its statement."""
    post = Post(tmp_path, "hub")
    return post, post.journal.write(lambda store: sealing.found(store, post.identity, NOW))


def make(page, statement, reached=0, count=700, text="first") -> dict:
    made = page.evaluate(MAKE, [statement, reached, count, text, NOW])
    return made | {"bytes": base64.b64decode(made["file"])}


def take(post, text: bytes, *, admit=True):
    return stick_import.take(post.journal, post.identity, io.BytesIO(text), NOW, admit=admit)


def test_the_tablet_seals_to_the_published_ciphertext(page):
    sealed = page.evaluate(
        "async (given) => {" + HELPERS + """
          const { seal } = await import("/hpke.js");
          const made = await pair(given.skEm, given.pkEm);
          return hex(await seal(raw(given.pkRm), raw(given.pt), raw(given.info), raw(given.aad), made));
        }""", VECTOR)

    assert sealed == VECTOR["enc"] + VECTOR["ct"]


def test_the_tablet_opens_the_published_ciphertext(page):
    opened = page.evaluate(
        "async (given) => {" + HELPERS + """
          const { unseal } = await import("/hpke.js");
          const theirs = await pair(given.skRm, given.pkRm);
          return hex(await unseal(theirs, raw(given.enc + given.ct), raw(given.info), raw(given.aad)));
        }""", VECTOR)

    assert opened == VECTOR["pt"]


def test_what_the_tablet_seals_opens_here(page):
    private_key = keys.new_private_key()
    point = keys.decode(keys.public_key_of(private_key), keys.POINT_BYTES).hex()
    sealed = page.evaluate(
        "async ([point]) => {" + HELPERS + """
          const { seal } = await import("/hpke.js");
          const text = new TextEncoder().encode("née à 3 h");
          return hex(await seal(raw(point), text, new TextEncoder().encode("week 48")));
        }""", [point])

    assert hpke.unseal(private_key, bytes.fromhex(sealed), b"week 48").decode() == "née à 3 h"


def test_what_is_sealed_here_opens_on_the_tablet_and_nothing_altered_does(page):
    public_key = keys.encode(bytes.fromhex(VECTOR["pkRm"]))
    sealed = hpke.seal(public_key, b"births", b"week 48").hex()
    wrong = sealed[:-1] + ("0" if sealed[-1] != "0" else "1")
    opened = page.evaluate(
        "async ([given, ...texts]) => {" + HELPERS + """
          const { unseal } = await import("/hpke.js");
          const theirs = await pair(given.skRm, given.pkRm);
          const info = new TextEncoder().encode("week 48");
          return Promise.all(texts.map((text) => unseal(theirs, raw(text), info)
            .then((bytes) => new TextDecoder().decode(bytes), (error) => error.name)));
        }""", [VECTOR, sealed, wrong])

    assert opened == ["births", "OperationError"]


def test_the_hub_reads_the_file_of_a_tablet(page, hub):
    post, statement = hub
    made = make(page, statement)
    taken = take(post, made["bytes"])

    assert (taken.sender, taken.events, taken.stored) == (made["id"], 700, 700)
    assert set(made["lines"]) == post.lines()
    assert made["name"].endswith(".stick") and b"first" not in made["bytes"]


def test_a_tablet_that_nobody_admitted_is_refused_and_nothing_changes(page, hub):
    post, statement = hub
    made, before = make(page, statement, count=3), contents(post)

    with pytest.raises(ChecklistError) as refused:
        take(post, made["bytes"], admit=False)
    assert refused.value.code == "stick_sender" and contents(post) == before


def test_letters_outside_ascii_and_several_pieces_arrive_as_they_were(page, hub):
    post, statement = hub
    made = make(page, statement, count=9000, text="é" * 40)

    assert take(post, made["bytes"]).stored == 9000
    assert set(made["lines"]) == post.lines()


def test_what_the_hub_holds_stays_out_of_the_file(page, hub):
    post, statement = hub
    made = make(page, statement, reached=650)

    assert made["events"] == 50
    # This hub holds none of it, so the rest hangs on nothing here.
    with pytest.raises(ChecklistError) as refused:
        take(post, made["bytes"])
    assert refused.value.code == "stick_gap"


@pytest.mark.parametrize("change", [{"seal": "other"}, {"made_at": 5}, {"hub": "0" * 32}])
def test_a_statement_that_was_altered_is_not_sealed_to(page, hub, change):
    _, statement = hub
    if "seal" in change:
        change = {"seal": keys.public_key_of(keys.new_private_key())}
    said = page.evaluate(
        """async ([statement, at]) => {
          const { makeStick } = await import("/stick.js");
          return makeStick({}, statement, [], at).then(() => "made", (error) => error.code);
        }""", [statement | change, NOW])

    assert said == "signature_wrong"


def test_both_halves_spell_a_fingerprint_alike(page, hub):
    _, statement = hub
    said = page.evaluate("async (told) => (await import('/stick.js')).fingerprint(told)", statement)

    assert said == sealing.fingerprint(statement["seal"])


def test_an_exchange_keeps_what_a_file_for_the_hub_needs(page, hub):
    _, statement = hub
    heads = {"device": "admitted", "leaves": [["a", 3, "b"]], "outbox": None, "time": NOW,
             "incarnation": "i", "sealing": statement}
    aims = page.evaluate(
        """async (answers) => {
          const { exchange, readAim } = await import("/sync.js");
          const aims = [];
          for (const heads of answers) {
            let cursor = { device: "d" };
            const journal = {
              readCursor: async () => cursor, writeCursor: async (_, told) => { cursor = { ...told }; },
              readTips: async () => new Map(), epoch: () => 0,
            };
            const device = { id: "d", key: "k", sign: async () => "s" };
            const fetch = async () => new Response(JSON.stringify(heads), { headers: { "Content-Type": "application/json" } });
            aims.push(await readAim(journal, ""));
            await exchange({ journal, device, fetch, wall: () => 0 }, "");
            aims.push(await readAim(journal, ""));
          }
          return aims;
        }""", [heads, heads | {"held": [["a", 1, "c"]]}, {k: v for k, v in heads.items() if k != "sealing"}])

    nothing = {"sealing": None, "held": []}
    assert aims == [
        nothing, {"sealing": statement, "held": [["a", 3, "b"]]},
        nothing, {"sealing": statement, "held": [["a", 1, "c"]]},
        nothing, {"sealing": None, "held": [["a", 3, "b"]]},
    ]
