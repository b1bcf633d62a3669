"""Say that the station is up, which release it serves, and what time it has."""

from flask import Blueprint

from checklist.web.parts import parts

health = Blueprint("health", __name__)


@health.get("/health")
def tell() -> dict:
    """Give release and wall time in ms."""
    return {"release": parts().release, "time": parts().now()}
