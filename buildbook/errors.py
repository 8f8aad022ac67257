"""The one way in which Buildbook says that something could not be done."""

from __future__ import annotations


class BuildbookError(Exception):
    """What could not be done, why, and what to do now: one sentence each.

    The command line prints the three sentences on stderr and leaves with `exit_code`; nothing has been written.

    >>> print(BuildbookError("The list was not read.", "Row 4 has no quantity.", "Fill it in and try again."))
    The list was not read. Row 4 has no quantity. Fill it in and try again.
    """

    exit_code = 2

    def __init__(self, what: str, why: str = "", mend: str = "") -> None:
        super().__init__(what, why, mend)
        self.what = what
        self.why = why
        self.mend = mend

    def __str__(self) -> str:
        return " ".join(part for part in (self.what, self.why, self.mend) if part)


class BadInput(BuildbookError):
    """What was given cannot be understood or does not exist (exit code 2)."""


class Forbidden(BuildbookError):
    """A rule of the workshop forbids it: a loop among assemblies, too few in the bin (exit code 3)."""

    exit_code = 3


class Stale(Forbidden):
    """What was to be changed is no longer as it was seen: somebody else has changed it meanwhile (exit code 3)."""


class StoreFault(BuildbookError):
    """The workshop file cannot be used: locked, damaged, read-only, newer, full (exit code 4)."""

    exit_code = 4


class Damaged(StoreFault):
    """The workshop file is no longer whole, and only a backup mends that (exit code 4)."""
