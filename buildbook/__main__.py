"""`python -m buildbook` is the same program as `buildbook`."""

from __future__ import annotations

from buildbook.cli.begin import run

if __name__ == "__main__":
    run()
