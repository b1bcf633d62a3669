"""Fill the station of the demonstration with invented births, once.

They enter as everything enters: sealed, signed by invented devices, through the intake.
"""

from datetime import timedelta

from flask import Flask

from checklist import device, intake, keys, packs, sender, station
from checklist.demo.births import BIRTHS, POSTS, Birth
from checklist.demo.rows import ALTITUDE_M
from checklist.demo.teller import Teller
from checklist.demo.velindi import LEAD, TAG, invented_language
from checklist.station import OUTER_SAME_CONTRACTION_S, Post
from checklist.translation.workshop import Workshop
from checklist.web.parts import NAME, Parts

HOME = "Three Wells"
# A tablet is set up a while before its first birth.
SET_UP = timedelta(days=2)


def fill(app: Flask) -> None:
    """Fill the app's journal unless it holds a case already, and put the invented words in force."""
    shared: Parts = app.extensions[NAME]
    _put_words_in_force(shared)
    held = shared.journal.reader.execute("select 1 from event where case_id <> '' limit 1")
    if held.fetchone():
        return
    now = shared.now()
    post = Post(HOME, ALTITUDE_M, POSTS[HOME])
    if station.settings(shared.journal.reader, shared.identity) != post:
        shared.journal.write(
            lambda store: station.set_post(store, shared.identity, post, now)
        )
    for name in POSTS:
        _fill_post(shared, name, [birth for birth in BIRTHS if birth.post == name], now)


def _put_words_in_force(shared: Parts) -> None:
    """Write the invented language and pack it as its lead would, unless its pack is in force already."""
    settings, now = shared.settings, shared.now()
    if TAG in packs.in_force(shared.journal.reader):
        return
    invented_language(settings.own_translations)
    packed = Workshop(settings.translations, settings.own_translations).open(TAG).pack(LEAD, now)
    shared.journal.write(lambda store: packs.keep(store, shared.identity, packed.body, {}, LEAD, now))
    shared.releases.now()


def _fill_post(shared: Parts, post: str, births: list[Birth], now: int) -> None:
    """Tell the births of one post on a device of its own, and send them."""
    births = sorted(births, key=lambda birth: birth.before, reverse=True)
    private_key = keys.new_private_key()
    public_key = keys.public_key_of(private_key)
    set_up = now - _ms(births[0].before + SET_UP)
    shared.journal.write(
        lambda store: device.add(store.connection, public_key, post, device.ADMITTED, set_up)
    )
    teller = Teller(keys.device_id(public_key), set_up)
    for birth in births:
        teller.tell(now - _ms(birth.before), _opening(shared, birth), birth.rows())
    for body in sender.cut(private_key, teller.log, teller.lines):
        intake.take(shared.journal, body, "", now)


def _opening(shared: Parts, birth: Birth) -> dict:
    return {
        "mode": birth.mode,
        "release": shared.release,
        "language": shared.pack.lang,
        "post": birth.post,
        "gauge_unit": POSTS[birth.post],
        "same_contraction_s": OUTER_SAME_CONTRACTION_S,
        "altitude_m": ALTITUDE_M,
    }


def _ms(span: timedelta) -> int:
    return span // timedelta(milliseconds=1)
