"""Build the station's application; the only place where its parts meet."""

from dataclasses import replace

from flask import Flask
from flask_wtf.csrf import CSRFProtect

from checklist import keys, language, releases, sealing, station
from checklist.config import Settings, is_invented
from checklist.journal import Journal
from checklist.web import (
    account_pages,
    device_pages,
    exchange_api,
    export_pages,
    headers,
    health,
    history_pages,
    language_file_pages,
    language_glossary_pages,
    language_pack_pages,
    language_pages,
    language_parts,
    language_preview,
    language_review_pages,
    language_table_pages,
    language_text_pages,
    language_voice_pages,
    language_withdraw_pages,
    limit_pages,
    problems,
    relay_api,
    remark_parts,
    review_births,
    settings_pages,
    shell_pages,
    station_pages,
    stick_pages,
    trust_pages,
)
from checklist.web.asked import Number
from checklist.web.parts import NAME, Parts

# Their routes stand on one blueprint, which their first import fills.
LANGUAGES = (
    language_pages, language_text_pages, language_review_pages, language_file_pages, language_voice_pages, language_pack_pages,
    language_withdraw_pages, language_preview, language_glossary_pages, language_table_pages,
)
# Far above any batch or form; the page that takes in files allows itself more.
LARGEST_BODY = 1024 * 1024


def create_app(settings: Settings) -> Flask:
    """Make the app of a station; raises data_unwritable, journal_damaged, words_missing."""
    # A folder that is marked is never shown as real, however it is opened.
    settings = replace(settings, demo=settings.demo or is_invented(settings.data))
    packs = language.load_all(settings.translations, own=settings.own_translations, ready=settings.ready)
    journal = Journal.open(settings.database)
    identity = journal.write(lambda store: station.found(store, Parts.now()))
    journal.write(lambda store: sealing.found(store, identity, Parts.now()))
    kept = releases.of_station(settings, journal, packs)
    app = Flask("checklist.web", static_folder=None)
    app.config.update(_config(settings, identity.private_key))
    app.url_map.converters["int"] = Number
    app.extensions[NAME] = Parts(settings, journal, identity, packs, kept)
    CSRFProtect(app).exempt(exchange_api.exchange)
    for blueprint in (
        shell_pages.blueprint(kept),
        relay_api.exchange,
        health.health,
        trust_pages.trust,
        station_pages.blueprint(
            history_pages.history, settings_pages.settings, device_pages.devices,
            account_pages.pages, limit_pages.limits, remark_parts.pages,
            export_pages.exports, stick_pages.sticks, review_births.pages, language_parts.languages,
        ),
    ):
        app.register_blueprint(blueprint)
    problems.register(app)
    app.after_request(headers.guard)
    return app


def _config(settings: Settings, private_key: str) -> dict:
    return {
        # Drawn from the station's own key, so forms outlive a restart and no
        # second secret has to be kept.
        "SECRET_KEY": keys.digest(f"forms/1\n{private_key}"),
        "SESSION_COOKIE_NAME": "station",
        "SESSION_COOKIE_PATH": "/station",
        "SESSION_COOKIE_HTTPONLY": True,
        "SESSION_COOKIE_SAMESITE": "Strict",
        "SESSION_COOKIE_SECURE": settings.certificate is not None,
        # A form lives as long as its session: a page left open over lunch must still send.
        "WTF_CSRF_TIME_LIMIT": None,
        "TEMPLATES_AUTO_RELOAD": False,
        # The server lets a file from a stick through; every other body is small.
        "MAX_CONTENT_LENGTH": LARGEST_BODY,
    }
