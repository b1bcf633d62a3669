"""Ask one half everything that the core says of a log, at once.

A judgement is {case, verdict, place, reachable, hidden_blood, blood_volume, views}; each
view belongs to one stamp and is {measures, findings, visible, to_show, standing, sounds,
guide, watch, due, rounds, handover}. What is given to the core is frozen first, or compared
after, so that a half that changes it fails.
"""

import hashlib
import json

from checklist.core.alarm import sounds_now, standing_stops, to_show, visible
from checklist.core.case import fold
from checklist.core.checks import verdict
from checklist.core.event import parse
from checklist.core.handover import handover
from checklist.core.limits import advise, reachable
from checklist.core.measures import measures
from checklist.core.newborn import watch
from checklist.core.observed import blood_volume_ml, hidden_blood_ml
from checklist.core.place import guide, place
from checklist.core.schedule import due, rounds_of
from checklist.tables import protocol_in_force

_JUDGE = """async (sent) => {
  const { protocol, logs, digest } = JSON.parse(sent);
  const names = ["alarm", "case", "checks", "event", "limits", "measures", "place",
    "newborn", "observed", "schedule", "handover"];
  const [alarm, cases, checks, events, limits, measuring, places,
    newborn, observing, schedule, handing] = await Promise.all(
    names.map((name) => import(`/core/${name}.js`)));
  const freeze = (value) => {
    if (value !== null && typeof value === "object") Object.values(Object.freeze(value)).forEach(freeze);
    return value;
  };
  const view = (theCase, now) => {
    const measured = freeze(measuring.measures(theCase, now));
    const findings = freeze(limits.advise(theCase, protocol, now));
    return {
      measures: measured,
      findings,
      visible: alarm.visible(theCase, findings),
      to_show: alarm.toShow(theCase, findings),
      standing: alarm.standingStops(theCase, findings),
      sounds: findings.map((finding) => alarm.soundsNow(finding, measured)),
      guide: places.guide(theCase, measured),
      watch: newborn.watch(theCase, protocol, now),
      due: schedule.due(theCase, protocol, now),
      rounds: ["baby", "mother"].map((lane) => schedule.roundsOf(theCase, protocol, now, lane)),
      handover: handing.handover(theCase, protocol, now),
    };
  };
  const judge = ({ lines, stamps }) => {
    const theCase = freeze(cases.fold(freeze(lines.map(events.parse))));
    return JSON.stringify({
      case: theCase,
      verdict: checks.verdict(theCase, protocol),
      place: places.place(theCase),
      reachable: limits.reachable(theCase, protocol),
      hidden_blood: observing.hiddenBloodMl(theCase),
      blood_volume: observing.bloodVolumeMl(theCase),
      views: freeze(stamps).map((now) => view(theCase, now)),
    });
  };
  const hash = async (text) => {
    const bytes = await crypto.subtle.digest("SHA-256", new TextEncoder().encode(text));
    return [...new Uint8Array(bytes)].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  };
  freeze(protocol);
  const texts = logs.map(judge);
  return digest ? Promise.all(texts.map(hash)) : texts;
}"""


def judged(half, story, seconds_later: float = 0, protocol: dict | None = None) -> dict:
    """Judge a story at one moment; the view of that moment is laid beside the rest."""
    log = {"lines": list(story.lines), "stamps": [story.now(seconds_later)]}
    (text,) = texts(half, [log], protocol)
    judgement = json.loads(text)
    return {**judgement, **judgement["views"][0]}


def levels(half, story, seconds_later: float = 0, protocol: dict | None = None) -> dict:
    """Judge a story and give {limit: level}."""
    findings = judged(half, story, seconds_later, protocol)["findings"]
    return {finding["limit"]: finding["level"] for finding in findings}


def views(half, stories: list, protocol: dict | None = None) -> list[dict]:
    """Judge many stories at once, each at the moment of its last word."""
    logs = [{"lines": list(story.lines), "stamps": [story.now()]} for story in stories]
    return [json.loads(text)["views"][0] for text in texts(half, logs, protocol)]


def texts(half, logs: list[dict], protocol: dict | None = None) -> list[str]:
    """Judge logs [{lines, stamps}] and give each judgement as the half writes it."""
    return _answers(half, logs, protocol or protocol_in_force()[1], digest=False)


def digests(half, logs: list[dict]) -> list[str]:
    """Judge logs and give only the SHA-256 of each text, which is quicker to carry."""
    return _answers(half, logs, protocol_in_force()[1], digest=True)


def judge_here(lines: list[str], stamps: list[dict], protocol: dict) -> dict:
    """Judge one log by the Python half."""
    case = fold([parse(line) for line in lines])
    views = [_view(case, protocol, now) for now in stamps]
    return {
        "case": case,
        "verdict": verdict(case, protocol),
        "place": place(case),
        "reachable": reachable(case, protocol),
        "hidden_blood": hidden_blood_ml(case),
        "blood_volume": blood_volume_ml(case),
        "views": views,
    }


def written(value: object) -> str:
    """Write a value as JavaScript's JSON.stringify does."""
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"))


def _answers(half, logs: list[dict], protocol: dict, *, digest: bool) -> list[str]:
    if half.name == "javascript":
        sent = {"protocol": protocol, "logs": logs, "digest": digest}
        return half.page.evaluate(_JUDGE, json.dumps(sent))
    found = [written(judge_here(log["lines"], log["stamps"], protocol)) for log in logs]
    return [hashlib.sha256(text.encode()).hexdigest() for text in found] if digest else found


def _view(case: dict, protocol: dict, now: dict) -> dict:
    measured = measures(case, now)
    findings = advise(case, protocol, now)
    return {
        "measures": measured,
        "findings": findings,
        "visible": visible(case, findings),
        "to_show": to_show(case, findings),
        "standing": standing_stops(case, findings),
        "sounds": [sounds_now(finding, measured) for finding in findings],
        "guide": guide(case, measured),
        "watch": watch(case, protocol, now),
        "due": due(case, protocol, now),
        "rounds": [rounds_of(case, protocol, now, lane) for lane in ("baby", "mother")],
        "handover": handover(case, protocol, now),
    }
