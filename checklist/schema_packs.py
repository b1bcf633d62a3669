"""The steps that keep packs of words, their clips, and which pack is in force.

Additive only, as in schema.py, which runs them.
"""

from sqlite_utils import Database


def m050_carry_packs(db: Database) -> None:
    """Keep packs and clips by the digest of their bytes, and one pack in force for each language.

    pack_in_force.heard_log, heard_seq: the last word of the hub that was heeded for this
    language, "" and 0 before any; pack_said: what each outbox was last told.
    """
    db.table("pack").create(
        {"digest": str, "tag": str, "body": bytes, "made_at": int, "made_by": str},
        pk="digest",
        not_null={"tag", "body", "made_at", "made_by"},
    )
    db.table("thing").create({"digest": str, "body": bytes}, pk="digest", not_null={"body"})
    db.table("pack_in_force").create(
        {"tag": str, "digest": str, "since": int, "heard_log": str, "heard_seq": int},
        pk="tag",
        not_null={"digest", "since", "heard_log", "heard_seq"},
        foreign_keys=[("digest", "pack", "digest")],
    )
    db.table("pack_said").create(
        {"log": str, "tag": str, "digest": str}, pk=("log", "tag"), not_null={"digest"}
    )
    db.execute(
        "create index event_pack_made on event (log_no, seq)"
        " where case_id = '' and json_extract(line, '$.kind') = 'pack_made'"
    )


def m051_remember_refused_packs(db: Database) -> None:
    """Keep which word of a hub named a pack that this version of the program cannot read."""
    db.table("pack_refused").create(
        {"log": str, "seq": int, "version": str}, pk=("log", "seq"), not_null={"version"}
    )


STEPS = (m050_carry_packs, m051_remember_refused_packs)
