"""The steps that keep what the review reads: one row a case, limits of a post, remarks.

Additive only, as in schema.py, which runs them.
"""

from sqlite_utils import Database

# Facts that are 1 for yes, 0 for no and null where nobody told.
_THREE_VALUED = (
    "attempted", "born_vacuum", "failed", "many_pulls", "detached_twice", "long", "severe_tear",
    "scalp", "low_apgar", "referred", "death", "timely", "complete", "late_entries",
    "override", "skipped", "stop_heard", "overridden",
)
_NUMBERS = (
    "pulls", "descent_pulls", "perineal_pulls", "detachments", "cup_min", "apgar5",
    "steps", "steps_late", "steps_open",
)
_COUNTED = (
    "failed", "many_pulls", "detached_twice", "long", "severe_tear", "scalp", "low_apgar",
    "referred", "death", "timely", "complete", "late_entries", "override", "skipped",
    "stop_heard", "overridden",
)


def m030_keep_what_review_reads(db: Database) -> None:
    """Keep one row a real case and the sums of each month, both rebuildable from the events.

    judged: 1 by the case's own protocol, 0 by the newest because its own is not known here.
    month: 202611, or 0 where the tablet's clock said nonsense.
    """
    db.table("review_case").create(
        {
            "case_id": str, "post": str, "device_id": str, "opened_at": int, "month": int,
            "protocol": str, "judged": int, "closed": int, "not_started": int,
            **dict.fromkeys((*_THREE_VALUED, *_NUMBERS), int),
            "tear": str, "stop_answer": str, "reasons": str, "talk": int, "reviewed": int,
        },
        pk="case_id",
        not_null={
            "post", "device_id", "opened_at", "month", "protocol", "judged", "closed",
            "not_started", "attempted", "reasons", "talk", "reviewed",
        },
    )
    for name, columns in {
        "births": "opened_at, case_id",
        "births_of_post": "post, opened_at, case_id",
        "births_of_protocol": "protocol, opened_at, case_id",
    }.items():
        db.execute(f"create index review_{name} on review_case ({columns}) where attempted = 1")
    for name, columns in {
        "talk": "reviewed, talk, opened_at, case_id",
        "talk_of_post": "post, reviewed, talk, opened_at, case_id",
        "talk_of_protocol": "protocol, reviewed, talk, opened_at, case_id",
    }.items():
        db.execute(f"create index review_{name} on review_case ({columns}) where talk > 0")
    db.execute("create index review_of_device on review_case (device_id, opened_at)")


def m031_sum_up_months(db: Database) -> None:
    """Keep sums of a month by post and protocol, and of all posts together (whole = 1)."""
    sums = [f"{name}_{said}" for name in _COUNTED for said in ("yes", "no")]
    db.table("review_month").create(
        {
            "whole": int, "post": str, "month": int, "protocol": str,
            **dict.fromkeys(("cases", "births", "not_started", "closed", *sums), int),
        },
        pk=("whole", "post", "month", "protocol"),
        not_null={"cases", "births", "not_started", "closed", *sums},
    )
    db.table("review_month").create_index(["whole", "month"])


def m032_remember_reviews(db: Database) -> None:
    """Keep which cases were talked over, as the stations' own logs tell."""
    db.table("review_mark").create(
        {"case_id": str, "at": int, "by": str}, pk="case_id", not_null={"at", "by"}
    )


STEPS = (m030_keep_what_review_reads, m031_sum_up_months, m032_remember_reviews)
