"""The steps that keep what left by file and what may be let go.

Additive only, as in schema.py, which runs them.
"""

from sqlite_utils import Database


def m040_seal_to_the_hub(db: Database) -> None:
    """Keep this station's own pair of keys for sealing, and the key of its hub as it was trusted.

    trusted.receipt_at: the time in the newest receipt of that hub, so that an older one
    which comes later moves nothing back.
    """
    db.table("sealing").create(
        {"sealing_no": int, "private_key": str, "statement": str},
        pk="sealing_no",
        not_null={"private_key", "statement"},
    )
    db.table("trusted").create(
        {"hub_id": str, "public_key": str, "statement": str, "trusted_at": int, "receipt_at": int},
        pk="hub_id",
        not_null={"public_key", "statement", "trusted_at", "receipt_at"},
    )


def m041_let_go_by_rule(db: Database) -> None:
    """Let lines go under a run of the rule, and only the lines that the run names.

    A run is open only inside the transaction that lets go; outside of it the journal
    refuses to delete as before. The hashes stay, each with the one before it, so that the
    chain still holds and what was let go is known again.
    """
    db.table("retention_run").create(
        {
            "run_no": int, "before": int, "said_alone": int, "cases": int, "events": int,
            "at": int, "open": int,
        },
        pk="run_no",
        not_null={"before", "said_alone", "cases", "events", "at", "open"},
    )
    db.table("let_go").create(
        {"log_no": int, "seq": int, "hash": bytes, "prev": bytes, "case_id": str, "run_no": int},
        pk=("log_no", "seq", "hash"),
        not_null={"prev", "case_id", "run_no"},
        foreign_keys=[("log_no", "log", "log_no"), ("run_no", "retention_run", "run_no")],
    )
    db.table("let_go").create_index(["case_id"])
    db.execute("drop trigger event_has_no_delete")
    db.execute(
        "create trigger event_has_no_delete before delete on event when not exists ("
        " select 1 from let_go join retention_run using (run_no)"
        " where let_go.log_no = old.log_no and let_go.seq = old.seq and let_go.hash = old.hash"
        " and retention_run.open = 1)"
        " begin select raise(abort, 'events are kept as they came'); end"
    )


STEPS = (m040_seal_to_the_hub, m041_let_go_by_rule)
