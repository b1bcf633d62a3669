"""Place what the charts of the review show; the templates draw it. All in units of the field.

Axes begin at 0 and end at a fixed place, so that two charts of one kind can be compared.
"""

from itertools import pairwise

from checklist import statistics

MINUTE_MS = 60_000
STRIP = {"left": 170, "step": 18, "row": 26, "top": 14}
RUN = {"left": 46, "right": 700, "top": 14, "bottom": 174}
FUNNEL = {"left": 46, "right": 700, "top": 14, "bottom": 244}
LINE = {"left": 110, "right": 760}
RANGE_WIDE = 200
# Half an axis step of 1 in 100 more or less is not seen.
LINE_POINTS = 60
TICKS_MIN = (1, 2, 5, 10, 15, 30, 60, 120, 240)
MOST_TICKS = 12
LEAST_MIN = 5
LABEL_WIDE = 9
SIGN_WIDE = 28
MARKED = {
    "cup_applied": "on", "cup_detached": "off", "cup_removed": "off", "perineum_reached": "perineum",
    "vacuum_stopped": "stopped", "head_born": "head", "baby_born": "born",
}


def strip(births: list[dict], facts: list[str]) -> dict:
    """Lay births out in columns, the oldest first, one row a fact: {width, height, rows, months}."""
    ordered = births[::-1]
    rows = [
        {
            "fact": fact,
            "y": STRIP["top"] + index * STRIP["row"],
            "marks": [
                {"x": _column(n), "value": birth[fact]}
                for n, birth in enumerate(ordered)
                # With no stop shown there was none to go on after.
                if fact != "overridden" or birth["stop_heard"]
            ],
        }
        for index, fact in enumerate(facts)
    ]
    months = [
        {"x": _column(n), "month": birth["month"]}
        for n, birth in enumerate(ordered)
        if n == 0 or birth["month"] != ordered[n - 1]["month"]
    ]
    # A label needs the width of three columns.
    shown = [one for n, one in enumerate(months) if n == 0 or one["x"] - months[n - 1]["x"] > 54]
    width = _column(len(ordered)) + STRIP["step"]
    return {
        "births": ordered, "rows": rows, "months": shown, "width": max(width, 400),
        "height": STRIP["top"] + len(facts) * STRIP["row"] + 24,
    }


def run(points: list[dict]) -> dict:
    """Lay out a run chart from 0 to 100 in 100: {points, path, middle, chart}."""
    chart = statistics.run_chart([point["rate"] for point in points])
    wide = RUN["right"] - RUN["left"]
    step = wide / max(len(points) - 1, 1)
    # Below each point as many labels as fit.
    every = max(1, -(-len(points) // 10))
    placed = [
        {**point, "x": round(RUN["left"] + n * step), "y": _level(RUN, point["rate"]),
         "labelled": n % every == 0}
        for n, point in enumerate(points)
    ]
    return {
        "chart": chart, "points": placed,
        "path": "M" + " L".join(f"{one['x']} {one['y']}" for one in placed) if placed else "",
        "middle": None if chart.middle is None else _level(RUN, chart.middle),
        "in_100": None if chart.middle is None else round(chart.middle * 100),
    }


def funnel(told: dict) -> dict:
    """Lay out a funnel: {points, lines, target, top, ticks}; lines are paths by their tail."""
    target, most = told["target"], told["most"]
    first = statistics.FEWEST
    highest = max([one["rate"] for one in told["points"]])
    tails = (statistics.REVIEW, statistics.TALK, 1 - statistics.TALK, 1 - statistics.REVIEW)
    step = max(1, (most - first) // LINE_POINTS)
    along = [*range(first, most, step), most]
    drawable = 0 < target < 1
    lines = {tail: [statistics.funnel_line(n, target, tail) for n in along] for tail in tails if drawable}
    top = min(1.0, _above(max([highest, target, *(line[0] for line in lines.values())])))

    def x(n: int) -> int:
        return round(FUNNEL["left"] + (n - first) / max(most - first, 1) * (FUNNEL["right"] - FUNNEL["left"]))

    def y(rate: float) -> int:
        return _level(FUNNEL, min(max(rate / top, 0), 1))

    return {
        "points": [{**one, "x": x(one["n"]), "y": y(one["rate"])} for one in told["points"]],
        "lines": [
            {"outer": tail in (tails[0], tails[-1]),
             "path": "M" + " L".join(f"{x(n)} {y(rate)}" for n, rate in zip(along, line, strict=True))}
            for tail, line in lines.items()
            if max(line) > 0
        ],
        "target": y(target), "first": first, "most": most,
        "ticks": [{"in_100": round(top * part * 25), "y": y(top * part / 4)} for part in range(5)],
    }


def timeline(case: dict) -> dict | None:
    """Lay a birth along its minutes since the cup went on; None where no cup was used."""
    starts = [one["ms"] for one in case["applications"]] + [one["began_ms"] for one in case["pulls"]]
    if not starts:
        return None
    zero = min(starts)
    rows = [row for row in case["timeline"] if not row["void"] and row["ms"] >= zero]
    marks = [row for row in rows if row["kind"] in MARKED]
    last = max([row["ms"] for row in marks] + [one["ended_ms"] or one["began_ms"] for one in case["pulls"]])
    length = max(LEAST_MIN * MINUTE_MS, last - zero + MINUTE_MS // 2)

    def x(ms: int) -> int:
        return round(LINE["left"] + min(max((ms - zero) / length, 0), 1) * (LINE["right"] - LINE["left"]))

    tick = next((m for m in TICKS_MIN if length / (m * MINUTE_MS) <= MOST_TICKS), TICKS_MIN[-1])
    advice = [row for row in rows if row["kind"] == "advice_shown" and row["facts"].get("level") in ("caution", "stop")]
    labels = _apart(
        [{"x": x(row["ms"]), "name": MARKED[row["kind"]], "minute": _minute(row, zero)} for row in marks]
    )
    return {
        "lines": 1 + max([label["line"] for label in labels], default=0),
        "ticks": [{"minute": m, "x": x(zero + m * MINUTE_MS)} for m in range(0, length // MINUTE_MS + 1, tick)],
        "marks": labels,
        "advice": _beside(
            [{"x": x(row["ms"]), "level": row["facts"]["level"], "minute": _minute(row, zero)} for row in advice]
        ),
        "pulls": [
            {"number": pull["number"], "phase": pull["phase"], "descent": pull["descent"],
             "detached": pull["detached"], "minute": (pull["began_ms"] - zero) // MINUTE_MS,
             "pieces": [
                 {"x": x(piece["began_ms"]),
                  "width": max(6, x(piece["ended_ms"] or last) - x(piece["began_ms"]))}
                 for piece in pull["pieces"]
             ]}
            for pull in case["pulls"]
        ],
    }


def _apart(marks: list[dict]) -> list[dict]:
    """Put labels into as many lines as they need, so that none covers another."""
    ends: list[int] = []
    for mark in marks:
        line = next((n for n, end in enumerate(ends) if mark["x"] >= end), len(ends))
        ends[line:line + 1] = [mark["x"] + LABEL_WIDE * 9]
        mark["line"] = line
    return marks


def _beside(signs: list[dict]) -> list[dict]:
    """Move a sign along where the one before would cover it."""
    for before, sign in pairwise(signs):
        sign["x"] = max(sign["x"], before["x"] + SIGN_WIDE)
    return signs


def _minute(row: dict, zero: int) -> int:
    return (row["ms"] - zero) // MINUTE_MS


def _column(n: int) -> int:
    return STRIP["left"] + n * STRIP["step"]


def _level(field: dict, rate: float) -> int:
    return round(field["bottom"] - rate * (field["bottom"] - field["top"]))


def _above(rate: float) -> float:
    """The next of a few round ends of an axis."""
    return next((end for end in (0.05, 0.1, 0.2, 0.4, 0.6, 0.8) if rate <= end), 1.0)
