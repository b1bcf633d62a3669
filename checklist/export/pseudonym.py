"""Names that stand for an id and do not give it away.

A keyed hash: who has no key can neither undo it nor try out ids. By default the key
is drawn from the station's own, so that one case has one name in every export of one
hub and later exports can be joined to earlier ones; a key made for one export alone
cuts that thread, for whoever should see only this one.
"""

import hmac
import secrets
import uuid
from dataclasses import dataclass

from checklist import keys

LENGTH = 20


@dataclass(frozen=True)
class Pseudonyms:
    """Gives the names that one key makes."""

    key: bytes

    @classmethod
    def of_hub(cls, private_key: str) -> "Pseudonyms":
        """Give the names that stay the same in every export of this station or hub."""
        return cls(bytes.fromhex(keys.digest(f"export/1\n{private_key}")))

    @classmethod
    def of_one_export(cls) -> "Pseudonyms":
        """Give names that no other export shares."""
        return cls(secrets.token_bytes(32))

    def name(self, what: str, real: str) -> str:
        """Name something by 20 hexadecimal digits; what keeps cases apart from devices."""
        return self._digest(what, real).hex()[:LENGTH]

    def uuid(self, what: str, real: str) -> str:
        """Name something by a UUID, for formats that want one."""
        return str(uuid.UUID(bytes=self._digest(what, real)[:16], version=4))

    def _digest(self, what: str, real: str) -> bytes:
        return hmac.digest(self.key, f"{what}\n{real}".encode(), "sha256")
