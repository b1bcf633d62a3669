"""A tablet, its post and the hub behind it: what comes down, and who is let in by a code."""

from checklist import keys, relay, station
from checklist.admission import make_code
from checklist.config import DATABASE
from checklist.journal import Journal
from tests.browser.conftest import visit
from tests.browser.posts import EXCHANGE, FAILED, TAPS
from tests.server.near_hub import NOW, Post
from tests.server.tablet import Tablet

TOLD = "tablet.readDown().then((lines) => lines.map((line) => JSON.parse(line).facts.text))"


class Behind(Post):
    """The journal of a post whose station runs in another process."""

    def __init__(self, data) -> None:
        self.path, self.name = data / DATABASE, "post"
        self.journal = Journal.open(self.path)
        self.identity = self.journal.write(lambda store: station.found(store, NOW))
        self.key = keys.public_key_of(self.identity.private_key)


def test_a_remark_of_the_hub_reaches_the_tablet_and_the_tablet_knows_what_the_hub_holds(
    post, context, tmp_path
):
    hub, here = Post(tmp_path, "hub"), Behind(post.data)
    way = here.join(hub)
    hub.say(here.identity.station_id, "well done")
    page = visit(context, post.url)
    page.evaluate(TAPS, 5)
    relay.exchange(here.journal, way, NOW)

    page.evaluate(EXCHANGE)
    before = page.evaluate("tablet.waitingAtHub()")
    relay.exchange(here.journal, way, NOW)
    page.evaluate(EXCHANGE)

    assert page.evaluate(TOLD) == ["well done"]
    assert before["count"] >= 5
    assert page.evaluate("tablet.waitingAtHub()") == {"count": 0, "since": None}
    for one in (hub, here):
        one.journal.close()


def test_lines_that_the_hub_did_not_sign_are_not_kept(post, context, tmp_path):
    hub, here = Post(tmp_path, "hub"), Behind(post.data)
    hub.say(here.identity.station_id, "well done")
    relay.exchange(here.journal, here.join(hub), NOW)
    page = visit(context, post.url)
    context.route("**/v1/heads", lambda route: route.fulfill(
        response=(reply := route.fetch()), body=reply.text().replace('signature\\":\\"', 'signature\\":\\"A')
    ))

    failed = page.evaluate(FAILED)

    assert failed == "signature_wrong"
    assert page.evaluate(TOLD) == []
    for one in (hub, here):
        one.journal.close()


def test_a_second_tablet_is_let_in_by_a_code(post, context):
    here = Behind(post.data)
    here.admit(Tablet())
    code = make_code(here.journal, here.identity, "", station_time())
    page = visit(context, post.url)
    refused = "(code) => tablet.pairWith(code).catch((error) => error.code)"

    before = page.evaluate(FAILED)
    wrong = page.evaluate(refused, "00000000")
    right = page.evaluate(refused, f"{code[:4].lower()}-{code[4:]}")

    assert (before, wrong, right) == ("device_waiting", "code_refused", "admitted")
    assert page.evaluate(FAILED) == "done"
    here.journal.close()


def station_time() -> int:
    """Give the wall time that the station's process sees."""
    from checklist.web.parts import Parts

    return Parts.now()
