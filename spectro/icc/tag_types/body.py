"""The first eight bytes that all tag types share."""

from spectro.errors import TagError


def body_after_signature(data: bytes, signature: bytes) -> bytes:
    """Return what follows the signature and the four reserved zeros. Raises TagError where either is wrong."""
    name = signature.decode("ascii").strip()
    if data[:4] != signature:
        raise TagError(f"{name}: the tag begins with {data[:4]!r}; expected {signature!r}")
    if len(data) < 8 or any(data[4:8]):
        raise TagError(f"{name}: the reserved bytes are {data[4:8].hex()}; expected 00000000; the profile is damaged")
    return data[8:]
