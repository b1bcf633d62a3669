"""Decide what is said aloud, and when a stop has been answered.

A caution is said once for each message. A stop is said again with each further pull, and
stands until somebody names what they do: stopped, or going on.
"""

from checklist.core.pulls import open_pull

AFTER = ("stopped", "continued")


def visible(case: dict, findings: list[dict]) -> list[dict]:
    """Give the findings that belong on the screen now, worst first.

    A routine step that is still to be done is no alarm: it becomes one in a pull. What is
    not known is shown too once a cup was used, for an empty place would read as all clear.
    """
    if _over(case):
        return []
    pulling = open_pull(case) is not None
    hidden = ("clear",) if case.get("applications") or case["pulls"] else ("clear", "unknown")
    return [
        finding
        for finding in findings
        if finding["level"] not in hidden and (pulling or finding["sound"] != "pulling")
    ]


def to_show(case: dict, findings: list[dict]) -> list[dict]:
    """Give the findings on the screen that the log does not yet hold as shown."""
    return [finding for finding in visible(case, findings) if not _shown(case, finding)]


def standing_stops(case: dict, findings: list[dict]) -> list[dict]:
    """Give the stops that nobody has answered since the last pull began."""
    if _over(case):
        return []
    return [
        finding
        for finding in findings
        if finding["level"] == "stop" and not _answered(case, finding)
    ]


def sounds_now(finding: dict, measured: dict) -> bool:
    """Tell whether a finding is to be heard; some only while a pull goes on."""
    if finding["sound"] == "pulling":
        return measured["pull_open"] == 1
    return finding["sound"] != "none"


def _over(case: dict) -> bool:
    """After the birth, or once stopped, the limits of the pull have nothing to say."""
    return bool(case["head_born"] or case["baby_born"] or case["stopped"] or case["closed"])


def _shown(case: dict, finding: dict) -> bool:
    same = [item for item in case["advice"] if item["message"] == finding["message"]]
    if finding["level"] != "stop":
        return bool(same)
    return any(item["pulls"] == len(case["pulls"]) for item in same)


def _answered(case: dict, finding: dict) -> bool:
    return any(
        item["limit"] == finding["limit"]
        and item["level"] == "stop"
        and item["choice"] in AFTER
        and item["pulls"] == len(case["pulls"])
        for item in case["advice"]
    )
