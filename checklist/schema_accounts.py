"""The steps that keep who may see and change what: accounts, sessions, the list of who did what.

Additive only, as in schema.py, which runs them.
"""

from sqlite_utils import Database


def m020_write_down_who_did_what(db: Database) -> None:
    """Keep the trail: rows that are only ever added, each hash covering all before it."""
    db.table("trail").create(
        {"trail_no": int, "who": str, "what": str, "target": str, "at": int, "hash": bytes},
        pk="trail_no",
        not_null={"who", "what", "target", "at", "hash"},
    )
    for verb in ("update", "delete"):
        db.execute(
            f"create trigger trail_has_no_{verb} before {verb} on trail begin"
            " select raise(abort, 'the trail is only ever added to'); end"
        )


def m021_keep_accounts(db: Database) -> None:
    """Keep accounts, the one-time links that open them, and where each is signed in.

    password: what argon2id makes of it, empty until the link was used; link and
    session keep the SHA-256 of their token, never the token. A link without an
    account makes the first one.
    """
    db.table("account").create(
        {
            "account_no": int, "name": str, "folded": str, "roles": str, "password": str,
            "made_by": str, "made_at": int, "closed_at": int,
        },
        pk="account_no",
        not_null={"name", "folded", "roles", "password", "made_by", "made_at"},
    )
    db.table("account").create_index(["folded"], unique=True)
    db.table("link").create(
        {"token": str, "account_no": int, "ends_at": int},
        pk="token",
        not_null={"ends_at"},
        foreign_keys=[("account_no", "account", "account_no")],
    )
    db.table("session").create(
        {"token": str, "account_no": int, "began_at": int, "seen_at": int, "address": str},
        pk="token",
        not_null={"account_no", "began_at", "seen_at", "address"},
        foreign_keys=[("account_no", "account", "account_no")],
    )
    db.table("session").create_index(["account_no"])
    db.table("attempt").create(
        {"subject": str, "failed": int, "last_at": int},
        pk="subject",
        not_null={"failed", "last_at"},
    )
    db.table("attempt").create_index(["last_at"])


def m022_keep_limits_of_posts(db: Database) -> None:
    """Keep the stricter limits of each post: drafts, and sets that a second person signed.

    station_id: the station served, "" for this one's own post; number: counted for each
    station, null while it is a draft; digest: of the protocol made stricter.
    """
    db.table("post_limits").create(
        {
            "limits_no": int, "station_id": str, "post": str, "number": int, "base": str,
            "changes": str, "digest": str, "made_by": str, "made_at": int, "signed_by": str,
            "signed_at": int, "dropped_at": int,
        },
        pk="limits_no",
        not_null={"station_id", "post", "base", "changes", "digest", "made_by", "made_at"},
    )
    db.table("post_limits").create_index(["station_id", "number"], unique=True)
    db.table("post_limits").create_index(["digest"])


def m023_find_what_stations_say(db: Database) -> None:
    """Let a case find its remarks, and a digest its limits, among what stations say."""
    said = "json_extract(line, '$.kind')"
    about = "json_extract(line, '$.facts.target_case')"
    db.execute(f"create index event_said on event ({said}, {about}) where case_id = ''")


def m024_ask_for_a_second_factor(db: Database) -> None:
    """Keep the secret of an account's second factor, "" while it has none, and the step used last."""
    db.execute("alter table account add column second text not null default ''")
    db.execute("alter table account add column second_step integer not null default 0")


STEPS = (
    m020_write_down_who_did_what, m021_keep_accounts, m022_keep_limits_of_posts,
    m023_find_what_stations_say, m024_ask_for_a_second_factor,
)
