"""What a value read from JSON is; for the type checker, which cannot look inside it."""

from typing import Any, TypeGuard


def is_object(value: object) -> TypeGuard[dict[str, Any]]:
    """Whether a value is a JSON object."""
    return isinstance(value, dict)


def is_array(value: object) -> TypeGuard[list[Any]]:
    """Whether a value is a JSON array."""
    return isinstance(value, list)
