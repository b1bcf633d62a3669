"""The protocol in force on a tablet: the newest set that a station signed, never a looser one."""

import pytest

from checklist.post_protocol import named
from checklist.tables import protocol_in_force
from tests.halves import modules_page

__all__ = ["modules_page"]
BASE, PROTOCOL = protocol_in_force()
STRICT = "cup_minutes.stop=15"
TAKE = """async ([base, table, events]) => {
  const { openRules } = await import("/rules.js");
  const rules = openRules({ protocol: { digest: base, table }, protocols: new Map([[base, table]]) });
  await rules.take(events);
  const stop = ({ limits }) => limits.find(({ id }) => id === "cup_minutes").levels.at(-1).at;
  return {
    digest: rules.inForce().digest, stop: stop(rules.inForce().table), limits: rules.limits(), refused: rules.refused(),
    known: [...rules.known.keys()],
  };
}"""


def told(number, changes, other=None):
    facts = {"post": "Hill", "number": number, "base": BASE, "by": "Asha", "signed_by": "Ben"}
    facts |= {"changes": changes} if changes else {}
    return {"kind": "limits_set", "at": number * 1000, "seq": number, "facts": facts | (other or {})}


def take(page, *events):
    return page.evaluate(TAKE, [BASE, PROTOCOL, list(events)])


def test_without_a_set_the_shipped_protocol_is_in_force(modules_page):
    found = take(modules_page, {"kind": "post_set", "at": 1, "seq": 1, "facts": {"post": "Hill"}})

    assert (found["digest"], found["stop"], found["limits"], found["refused"]) == (BASE, 20, None, None)


def test_the_newest_set_is_in_force_in_whatever_order_it_came(modules_page):
    found = take(modules_page, told(2, STRICT), told(1, "cup_minutes.stop=12"))

    assert found["digest"] == named(BASE, STRICT)
    assert found["stop"] == 15
    assert found["limits"] == {
        "number": 2, "post": "Hill", "at": 2000, "by": "Asha", "signed_by": "Ben", "changes": STRICT,
    }


def test_older_sets_stay_known_for_the_cases_that_began_under_them(modules_page):
    found = take(modules_page, told(1, "cup_minutes.stop=12"), told(2, STRICT))

    assert set(found["known"]) == {BASE, named(BASE, STRICT), named(BASE, "cup_minutes.stop=12")}


def test_going_back_puts_the_shipped_protocol_in_force(modules_page):
    found = take(modules_page, told(1, STRICT), told(2, ""))

    assert (found["digest"], found["stop"], found["limits"]["number"]) == (BASE, 20, 2)


@pytest.mark.parametrize(
    ("changes", "other", "where", "why"),
    [
        ("cup_minutes.stop=21", {}, "cup_minutes.stop", "looser"),
        ("cup_minutes.stop=15 ", {}, "changes", "malformed"),
        ("never.stop=1", {}, "never.stop", "unknown"),
        (STRICT, {"base": "0" * 16}, "base", "unknown"),
        (STRICT, {"number": "two"}, "event", "malformed"),
        (STRICT, {"signed_by": ""}, "event", "malformed"),
        ("", {"changes": 15}, "event", "malformed"),
    ],
)
def test_a_looser_or_broken_set_leaves_the_one_before_in_force_and_is_told(
    modules_page, changes, other, where, why
):
    found = take(modules_page, told(1, "cup_minutes.stop=12"), told(2, changes, other))

    assert (found["digest"], found["stop"]) == (named(BASE, "cup_minutes.stop=12"), 12)
    assert (found["refused"]["where"], found["refused"]["why"]) == (where, why)
    assert found["limits"]["number"] == 1


def test_a_good_set_after_a_refused_one_ends_the_refusal(modules_page):
    found = take(modules_page, told(1, "cup_minutes.stop=21"), told(2, STRICT))

    assert (found["stop"], found["refused"]) == (15, None)
