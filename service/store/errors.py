"""What whoever runs the host must mend; the text of each error says it in a sentence."""

from pathlib import Path


class OperatorError(Exception):
    """Something about the installation is not as it must be."""


class DataFolderError(OperatorError):
    """The data folder cannot be used."""


class PeppersError(OperatorError):
    """The secrets that tokens are hashed with are missing or unusable."""


class JournalError(OperatorError):
    """The journal of erasures and revocations cannot be read."""


class DatabaseUnreachableError(OperatorError):
    """The database does not answer, or is none."""


class NoDatabaseError(OperatorError):
    """There is no database yet."""


class ForeignDatabaseError(OperatorError):
    """The database belongs to another program."""


class BackupError(OperatorError):
    """A backup cannot be made, or a file cannot be restored."""


class SchemaBehindError(OperatorError):
    """The database is older than the program."""

    def __init__(self, place: str, current: str | None, head: str) -> None:
        self.current = current
        """None for an empty database."""
        stands = "empty" if current is None else f"at schema {current}"
        super().__init__(f"The database {place} is {stands}; this program needs schema {head}.")


class SchemaAheadError(OperatorError):
    """The database is newer than the program."""

    def __init__(self, place: str | Path, current: str | None, head: str) -> None:
        super().__init__(
            f"{place} is at schema {current}, which this program does not know; it knows "
            f"{head} and what came before. Start the newer program."
        )
