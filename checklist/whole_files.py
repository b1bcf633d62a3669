"""Files that appear under their names only when all of them are complete and on the disk."""

import os
from contextlib import suppress
from pathlib import Path
from typing import IO


class WholeFiles:
    """A context in which files are written beside their names and put in place at its end.

    When the context ends with an error nothing is put in place, and what was begun goes.
    """

    def __init__(self) -> None:
        self._begun: list[tuple[Path, Path, IO]] = []

    def open(self, target: Path, mode: str = "wb", **how: object) -> IO:
        """Begin one file; mode and how as for Path.open. Raises OSError."""
        part = target.with_name(f"{target.name}.part")
        out = part.open(mode, **how)
        self._begun.append((part, target, out))
        return out

    def __enter__(self) -> "WholeFiles":
        return self

    def __exit__(self, failed: object, *_: object) -> None:
        try:
            if failed is None:
                self._put_in_place()
        finally:
            for part, _, out in self._begun:
                # What cannot be written any more need not be: the first error is the one to tell.
                with suppress(OSError):
                    out.close()
                part.unlink(missing_ok=True)

    def _put_in_place(self) -> None:
        for _, _, out in self._begun:
            out.flush()
            os.fsync(out.fileno())
            out.close()
        for part, target, _ in self._begun:
            part.replace(target)
