"""Where a server listens and how it is reached; asked by commands that must start fast."""

from ipaddress import ip_address

HOST = "127.0.0.1"
PORT = 8765


def is_loopback(host: str) -> bool:
    """Whether only this machine reaches an address."""
    if host.casefold() == "localhost":
        return True
    try:
        return ip_address(host).is_loopback
    except ValueError:
        return False


def url_of(host: str, port: int) -> str:
    """Return where a server is reached from this machine."""
    if host in {"0.0.0.0", "::", ""}:  # noqa: S104 - compared with, not bound to
        host = HOST if host != "::" else "::1"
    return f"http://[{host}]:{port}" if ":" in host else f"http://{host}:{port}"
