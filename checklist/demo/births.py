"""The invented births of the demonstration, each as the rows of its telling.

They play in the Velinda Highlands, which are on no map. No row comes from a real birth.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta

from checklist.demo.rows import (
    Change,
    Decide,
    Restart,
    Row,
    TakeBack,
    asked,
    begin,
    born,
    care,
    cup,
    gone,
    go,
    heart,
    late,
    left,
    pull,
    pull_to_perineum,
    stopped,
    suction,
    swept,
    tap,
)


@dataclass(frozen=True)
class Birth:
    """One case: what it is about, where, how long before the first start, and its rows."""

    name: str
    post: str
    before: timedelta
    rows: Callable[[], list[Row]]
    mode: str = "real"


# The gauge of each post; all three lie at the same height.
POSTS = {"Three Wells": "kpa", "Stone Bridge": "mmhg", "Upper Velinda": "kpa"}


def _easy() -> list[Row]:
    return [
        *asked("2"), *go(), *cup(),
        *pull(35, 48), heart(30), *begin(110), *born(52, "girl"), *care(9, 10, 10),
    ]


def _perineal() -> list[Row]:
    return [
        *asked("5", reason="mother"), *go(), *cup(working=500_000, unit="mmhg"),
        *pull(40, 50), heart(25, 142), *pull_to_perineum(115, 55), heart(25, 134),
        *pull(120, 38), *begin(125), *born(30, "boy"), *care(8, 9, 9),
    ]


def _came_off_once() -> list[Row]:
    return [
        *asked("1", first_birth="later", reason="baby", fetal_heart=104), *go(),
        *cup("rigid_anterior", 50, 66_000),
        *pull(30, 45), *begin(100), tap(22, "cup_detached"),
        tap(15, "scalp_checked", finding="whole"), heart(20, 118),
        *cup("rigid_anterior", 50, 66_000),
        *begin(60), *born(58, "girl"), *care(6, 8, 9),
    ]


def _came_off_twice() -> list[Row]:
    return [
        *asked("7", moulding="much"), *go(), *cup("rigid_anterior", 60, 64_000),
        *begin(45), tap(30, "cup_detached"), tap(20, "scalp_checked", finding="whole"),
        *cup("rigid_anterior", 60, 66_000, placement="flexing_paramedian"),
        *begin(70), tap(18, "cup_detached"), *stopped(9, "detachments", "detachments"),
        tap(20, "scalp_checked", finding="bruised"), heart(40, 132), *gone(1380),
    ]


def _too_long() -> list[Row]:
    return [
        *asked("3", big_baby="yes"), tap(5, "help_called", what="senior", who="assistant"),
        *go("senior"), *cup(working=66_000),
        *pull(60, 50), heart(60), *pull(200, 55), heart(70, 128), *pull_to_perineum(160, 50),
        heart(60, 122), *pull(190, 45), heart(75, 116),
        # By then the cup has been on for twenty minutes.
        tap(210, "advice_answered", limit="cup_minutes", choice="continued", role="midwife"),
        *begin(20), *born(48, "boy"), *care(5, 7, 8),
    ]


def _no_descent() -> list[Row]:
    return [
        *asked("4"), *go(), *cup("rigid_anterior", 50, 510_000, "mmhg"),
        *pull(40, 55, "no"), heart(30), *pull(115, 60, "no"),
        *stopped(14, "poor_pulls", "no_descent"), *left(20),
    ]


def _head_high() -> list[Row]:
    return [
        *asked("6", fifths="3", head_station="above"), Decide(9, "refer", {}),
        tap(14, "help_called", what="transfer", who="assistant"), *gone(1740),
    ]


def _thin_air() -> list[Row]:
    # At the height of the post a hand pump gets no further than 68 kPa.
    return [
        *asked("2", first_birth="later"), *go(), *cup(working=68_000),
        *pull(45, 52), heart(30, 140), *pull_to_perineum(120, 50),
        *begin(115), *born(36, "girl"), *care(),
    ]


def _gaps() -> list[Row]:
    hurried = {"role": "midwife", "override": True, "reason": "no_time"}
    return [
        *asked("8", only=("reason", "baby_lies", "fetal_heart", "cervix", "head_station")),
        Decide(4, "proceed", hurried),
        tap(20, "cup_applied", cup="unsure", placement="unsure"),
        suction(25, "working", "mmhg", 480_000), swept(6),
        *pull(50, 45, None), *begin(130), tap(50, "head_born"), tap(35, "baby_born"),
    ]


def _corrected() -> list[Row]:
    return [
        *asked("5"), *go(), *cup(),
        *begin(40), tap(25, "cup_detached"), TakeBack(4, "cup_detached"),
        tap(20, "pull_ended", source="key"), tap(3, "descent_judged", descent="yes"),
        # Nobody had a hand free for the next pull; it was told two minutes late.
        late(120, tap(300, "pull_began")), late(90, tap(0, "pull_ended")),
        tap(30, "perineum_reached"), Change(15, "perineum_reached", {"ago": 60}),
        *begin(40), *born(34, "boy"), *care(7, 9, 9),
    ]


def _restart() -> list[Row]:
    return [
        *asked("1", reason="baby"), *go(), *cup(working=490_000, unit="mmhg"),
        *pull(35, 50), heart(25, 150), Restart(75), *pull_to_perineum(45, 48),
        *begin(110), *born(40, "girl"), *care(8, 8, 9),
    ]


def _practice() -> list[Row]:
    return [
        *asked("1"), *go(), *cup(), *pull(20, 30), *pull(60, 30), *pull(60, 30),
        *stopped(8, "descent_pulls", "pulls"), tap(15, "cup_removed", why="stop"),
        tap(30, "case_closed", why="complete"),
    ]


BIRTHS = (
    Birth("easy", "Three Wells", timedelta(days=26, hours=3, minutes=20), _easy),
    Birth("no descent", "Stone Bridge", timedelta(days=23, hours=9, minutes=5), _no_descent),
    Birth("came off once", "Upper Velinda", timedelta(days=21, hours=1), _came_off_once),
    Birth("head high", "Three Wells", timedelta(days=19, hours=14, minutes=40), _head_high),
    Birth("perineal", "Stone Bridge", timedelta(days=16, hours=6, minutes=12), _perineal),
    Birth("too long", "Upper Velinda", timedelta(days=13, hours=19, minutes=31), _too_long),
    Birth("practice", "Three Wells", timedelta(days=12, hours=4), _practice, mode="practice"),
    Birth("came off twice", "Three Wells", timedelta(days=9, hours=22, minutes=8), _came_off_twice),
    Birth("restart", "Stone Bridge", timedelta(days=7, hours=11, minutes=47), _restart),
    Birth("corrected", "Three Wells", timedelta(days=4, hours=2, minutes=55), _corrected),
    Birth("thin air", "Upper Velinda", timedelta(days=2, hours=16, minutes=3), _thin_air),
    Birth("gaps", "Stone Bridge", timedelta(days=1, hours=5, minutes=26), _gaps),
)
