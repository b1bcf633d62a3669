"""Make of a password what may be kept, and refuse the ones that everybody tries first.

argon2id with the library's defaults (64 MiB, 3 passes, 4 lanes), above the least
that OWASP ASVS 5.0 names in appendix C (46 MiB, 1 pass).
"""

import secrets
from functools import cache
from threading import BoundedSemaphore

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError

# OWASP ASVS 5.0, 6.2.1, asks for 8 and advises 15; 12 is this program's own choice.
SHORTEST, LONGEST = 12, 256
FEWEST_LETTERS = 5
HASHER = PasswordHasher()
# Each takes the memory that the library's default asks for; more at once could starve a small box.
_at_once = BoundedSemaphore(2)

# Beginnings of the commonest passwords, from memory; no list of the world's breaches is shipped.
COMMON = frozenset(
    """password passwort motdepasse contrasena nenosiri qwerty qwertyuiop qwertyuiopasdf azerty
    azertyuiop qwertz asdfghjkl zxcvbnm letmein letmeinnow welcome welcometo iloveyou iloveyouso
    admin administrator adminadmin changeme changemenow default secret secretsecret sunshine
    princess football baseball basketball superman batman dragon monkey master trustno hello
    helloworld abcdefghijkl abcdefghijklm passwordpassword mypassword thepassword yourpassword
    testtest testtesttest guest guestguest login hospital midwife maternity supervisor checklist
    vacuum vacuumbirth birthvacuum correcthorsebatterystaple jesus jesuschrist godisgood
    internet computer whatever freedom charlie michael jennifer jordan hunter summer winter
    spring autumn january february""".split()
)


def make(password: str) -> str:
    """Give what is kept of a password: argon2id with its own salt and cost."""
    with _at_once:
        return HASHER.hash(password)


def is_right(kept: str, password: str) -> bool:
    """Tell whether a password is the one; with "" kept it takes as long and is never right."""
    with _at_once:
        try:
            return HASHER.verify(kept or _nobody(), password) and kept != ""
        except (VerificationError, InvalidHashError):
            return False


def weakness(password: str, name: str) -> str | None:
    """Name why a password is refused: short, long, common or name; None when it is taken."""
    if len(password) < SHORTEST:
        return "short"
    if len(password) > LONGEST:
        return "long"
    plain = "".join(letter for letter in password.casefold() if letter.isalnum())
    if plain.strip("0123456789") in COMMON or len(set(plain)) < FEWEST_LETTERS or _is_a_run(plain):
        return "common"
    own = "".join(letter for letter in name.casefold() if letter.isalnum())
    return "name" if len(own) > 2 and plain.strip("0123456789") in (own, own * 2) else None


def _is_a_run(plain: str) -> bool:
    """Tell whether letters or digits follow one another: 123456789012, abcdefghijkl."""
    steps = {ord(b) - ord(a) for a, b in zip(plain, plain[1:])}
    return len(steps - {9, -9}) <= 1


@cache
def _nobody() -> str:
    return HASHER.hash(secrets.token_urlsafe())
