"""The command line: what a person types.

Answers go to standard output, everything about the program to standard error.
"""

from service.cli.commands import app

__all__ = ["main"]


def main() -> None:
    """Run the command line."""
    app()
