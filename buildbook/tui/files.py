"""Files named on the screen: what a text typed means as a path, and whether something is there already."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path

from buildbook.errors import BadInput


def path_of(text: str, base: Path) -> Path:
    """The path that a text means: with ~ for one's own folder, else counted from `base`.

    >>> path_of("boards/if.csv", Path("/lists")).as_posix(), path_of("/tmp/if.csv", Path("/lists")).as_posix()
    ('/lists/boards/if.csv', '/tmp/if.csv')
    """
    path = Path(text.strip())
    with suppress(RuntimeError):  # no such user
        path = path.expanduser()
    return base / path


def is_there(path: Path) -> bool:
    """Whether there is a file or a folder; what cannot be a name is none."""
    try:
        return path.exists()
    except (OSError, ValueError):
        return False


def target_of(text: str) -> Path:
    """The file that is to be written. Raises BadInput for what no file can be called."""
    path = path_of(text, Path.cwd())
    try:
        path.exists()
    except (OSError, ValueError) as error:
        raise BadInput("No file can be called that.", "", "Give a shorter, plainer name.") from error
    return path


def target_understood(text: str) -> str | None:
    """A hint where a file of that name would be replaced. Raises BadInput for what no file can be called."""
    return "A file of that name is there and will be replaced." if target_of(text).exists() else None
