"""Version of the program."""

from importlib.metadata import PackageNotFoundError, version

PACKAGE = "winterground"
NOT_INSTALLED = "0+not.installed"


def program_version() -> str:
    """Return the version that is installed."""
    try:
        return version(PACKAGE)
    except PackageNotFoundError:
        return NOT_INSTALLED
