"""The devices and stations that send: admit one, by hand or by code, name it, retire it, let go of its PIN."""

from collections.abc import Callable

from flask import Blueprint, Response, make_response, redirect, render_template, request, url_for

from checklist import device, forks, peer, relay_state, station, trail
from checklist.admission import make_code
from checklist.store import SqliteStore
from checklist.web import guard
from checklist.web.asked import whole
from checklist.web.forms import ActionForm, NameForm
from checklist.web.parts import parts

PAGE_SIZE = 100

devices = Blueprint("devices", __name__, url_prefix="/devices")
guard.protect(devices, "keeper")


@devices.get("")
def everyone() -> str:
    """List the devices, those who wait for a person first."""
    return _page(NameForm())


@devices.post("/code")
def code() -> Response:
    """Make a one-time code and show it, once."""
    shared = parts()
    made = make_code(shared.journal, shared.identity, guard.who(), shared.now())
    response = make_response(_page(NameForm(), code=f"{made[:4]}-{made[4:]}"))
    response.headers["Cache-Control"] = "no-store"
    return response


@devices.post("/<device_id>/admit")
def admit(device_id: str) -> Response:
    """Let a device send."""
    return _settle(device_id, device.ADMITTED)


@devices.post("/<device_id>/retire")
def retire(device_id: str) -> Response:
    """Let a device send no more; what it sent stays."""
    return _settle(device_id, device.RETIRED)


@devices.post("/<device_id>/name")
def name(device_id: str) -> Response | tuple[str, int]:
    """Name a device."""
    form = NameForm()
    if not form.validate_on_submit():
        return _page(form), 422
    chosen = form.name.data.strip()
    return _change(lambda store: device.rename(store.connection, device_id, chosen))


@devices.post("/<device_id>/reset-pin")
def reset_pin(device_id: str) -> Response:
    """Say in the outbox that a tablet lets go of its PIN; nothing else of it changes."""
    now, identity, who = parts().now(), parts().identity, guard.who()

    def change(store: SqliteStore) -> None:
        station.reset_pin(store, identity, device_id, now)
        trail.note(store.connection, who, "pin_reset", device_id, now)

    parts().journal.write(change)
    return redirect(url_for("station.devices.everyone", reset=device_id), 303)


def _page(rename: NameForm, code: str | None = None) -> str:
    skip = max(whole("skip", 0), 0)
    reader = parts().journal.reader
    found = device.everyone(reader, skip=skip, size=PAGE_SIZE + 1)
    hub = peer.read(reader)
    return render_template(
        "devices.html",
        devices=found[:PAGE_SIZE],
        more=skip + PAGE_SIZE if len(found) > PAGE_SIZE else None,
        action=ActionForm(),
        rename=rename,
        reset=request.args.get("reset", "")[:64],
        code=code,
        own=parts().identity.station_id,
        forks=forks.unsettled(reader),
        hub=hub,
        waiting=relay_state.waiting(reader) if hub else None,
    )


def _settle(device_id: str, state: str) -> Response:
    by, now = guard.who(), parts().now()

    def work(store: SqliteStore) -> None:
        device.settle(store.connection, device_id, state, now)
        trail.note(store.connection, by, f"device_{state}", device_id, now)

    return _change(work)


def _change(work: Callable[[SqliteStore], None]) -> Response:
    parts().journal.write(work)
    return redirect(url_for("station.devices.everyone"), 303)
