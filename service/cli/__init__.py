"""The command line: what a person types.

Answers go to standard output, everything about the program to standard error.
"""

import sys

__all__ = ["main"]


def main() -> None:
    """Run the command line."""
    if sys.argv[1:2] == ["healthcheck"]:  # asked every few seconds: all commands take a second
        from service.cli.healthcheck import alone as app  # noqa: PLC0415
    else:
        from service.cli.commands import app  # noqa: PLC0415
    app()
