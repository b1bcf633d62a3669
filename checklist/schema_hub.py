"""The steps that keep what joins stations to their hub: peers, codes, what was acknowledged.

Additive only, as in schema.py, which runs them.
"""

from sqlite_utils import Database


def m010_know_what_is_relayed(db: Database) -> None:
    """Keep, at a hub, which stations vouch for which devices and what came through each.

    device.kind: tablet, station or hub; via: the station through which a device or
    a log was first heard of, empty when it came by itself.
    """
    db.execute("alter table device add column kind text not null default 'tablet'")
    db.execute("alter table device add column via text not null default ''")
    db.execute("alter table log add column via text not null default ''")
    db.table("relayed_device").create(
        {"station_id": str, "device_id": str, "state": str},
        pk=("station_id", "device_id"),
        not_null={"state"},
    )
    # What a station itself has brought, up to where: the ends that its heads tell it.
    db.table("relayed_leaf").create(
        {"station_id": str, "log_no": int, "seq": int, "hash": bytes},
        pk=("station_id", "log_no", "hash"),
        not_null={"seq"},
        foreign_keys=[("log_no", "log", "log_no")],
    )
    db.table("batch").create_index(["log_no", "head"])
    db.table("device").create_index(["state"])


def m011_know_the_hub(db: Database) -> None:
    """Keep the hub of this station, and what it said it holds; a hint, never the truth."""
    db.table("peer").create(
        {
            "peer_no": int, "url": str, "hub_id": str, "public_key": str, "name": str,
            "authority": str, "joined_at": int, "told": str, "size": int,
            "tried_at": int, "synced_at": int, "failure": str,
        },
        pk="peer_no",
        not_null={"url", "hub_id", "public_key", "name", "authority", "joined_at", "told", "size"},
    )
    db.table("hub_leaf").create(
        {"log": str, "seq": int, "hash": bytes, "down": int},
        pk=("log", "hash", "down"),
        not_null={"seq"},
    )
    db.table("introduced").create(
        {"device_id": str, "name": str, "state": str, "answer": str},
        pk="device_id",
        not_null={"name", "state", "answer"},
    )


def m012_speak_to_stations(db: Database) -> None:
    """Keep one outbox for each station served, and which logs came down to be passed on."""
    db.table("outbox_log").create(
        {"log": str, "station_id": str, "made_at": int},
        pk="log",
        not_null={"station_id", "made_at"},
    )
    db.table("outbox_log").create_index(["station_id", "made_at"])
    db.table("passed_log").create({"log": str}, pk="log")


def m013_admit_by_code(db: Database) -> None:
    """Keep what a one-time code becomes when stretched, never the code itself."""
    db.table("code").create(
        {
            "code_no": int, "stretched": bytes, "made_by": str, "made_at": int,
            "ends_at": int, "tries": int, "used_by": str,
        },
        pk="code_no",
        not_null={"stretched", "made_by", "made_at", "ends_at", "tries"},
    )
    db.table("code_try").create({"try_no": int, "at": int}, pk="try_no", not_null={"at"})
    db.table("code_try").create_index(["at"])


def m014_find_forks(db: Database) -> None:
    """Keep which logs have more than one end, so that no page has to look through all ends."""
    db.table("forked").create({"log_no": int}, pk="log_no")
    db.execute("insert into forked select log_no from leaf group by log_no having count(*) > 1")
    # An end that grows is updated; a further row is a further end.
    db.execute(
        "create trigger leaf_tells_of_fork after insert on leaf"
        " when (select count(*) from leaf where log_no = new.log_no) > 1 begin"
        " insert or ignore into forked (log_no) values (new.log_no); end"
    )


def m015_go_on_in_a_new_log(db: Database) -> None:
    """Keep which logs were this station's own before it was put back from a backup."""
    db.table("own_log").create({"log": str, "left_at": int}, pk="log", not_null={"left_at"})


STEPS = (
    m010_know_what_is_relayed, m011_know_the_hub, m012_speak_to_stations, m013_admit_by_code,
    m014_find_forks, m015_go_on_in_a_new_log,
)
