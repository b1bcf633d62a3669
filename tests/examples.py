"""Read the shared examples: one claim each, true of both halves."""

import json
from pathlib import Path

VECTORS = Path(__file__).parent / "vectors"


def vectors(name: str) -> list[dict]:
    """Read the examples of one file under vectors/."""
    text = (VECTORS / f"{name}.json").read_text(encoding="utf-8")
    return json.loads(text)["examples"]


def by_name(example: dict) -> str:
    """Name a test after the claim of its example."""
    return example["name"]


def outcome(example: dict) -> dict:
    """Give what the example says must come out, as a half reports it."""
    return {key: example[key] for key in ("gives", "fails", "facts") if key in example}
