"""Detached signatures: Ed25519 over the bytes of a record's file, 64 bytes in a file of their own.

Source: RFC 8032, by the `cryptography` library. Keys: PEM (PKCS #8; SubjectPublicKeyInfo) or OpenSSH's form.
`openssl pkeyutl -verify -pubin -rawin` takes the same signature.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

from wirecheck.problem import BadInput, Place, Problem

if TYPE_CHECKING:
    from collections.abc import Callable

    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey

KEY_BYTES = 100_000
ENDING = ".sig"


def sign(data: bytes, key: str, ask: Callable[[], str]) -> bytes:
    """The signature of data with the private key in a file. ask: for its passphrase. Raises BadInput."""
    return _private(key, ask).sign(data)


def holds(data: bytes, signature: bytes, signer: str) -> bool:
    """Was this signed with the private half of the public key in a file? Raises BadInput."""
    from cryptography.exceptions import InvalidSignature

    public = _public(signer)
    try:
        public.verify(signature, data)
    except InvalidSignature:
        return False
    return True


def _private(path: str, ask: Callable[[], str]) -> Ed25519PrivateKey:
    _library("--sign")
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

    data = file_bytes(path, "--sign", KEY_BYTES)
    if b"PRIVATE KEY" not in data:
        _refuse("--sign", path, f"{path} holds no private key.")
    key = _opened(data, path, ask)
    if not isinstance(key, Ed25519PrivateKey):
        _refuse("--sign", path, f"the key in {path} is no Ed25519 key.")
    return key


def _opened(data: bytes, path: str, ask: Callable[[], str]) -> Any:
    """The key, its passphrase asked for where it has one."""
    from cryptography.exceptions import UnsupportedAlgorithm
    from cryptography.hazmat.primitives import serialization

    ssh = b"OPENSSH PRIVATE KEY" in data
    load = serialization.load_ssh_private_key if ssh else serialization.load_pem_private_key
    try:
        return load(data, None)
    except TypeError:  # of a PEM key: it has a passphrase
        pass
    except ValueError as error:
        if "assword" not in str(error):  # what the library says of an OpenSSH key that has one
            _refuse("--sign", path, f"the key in {path} cannot be read.")
    except UnsupportedAlgorithm:
        _refuse("--sign", path, f"the key in {path} is of a kind that is not supported.")
    try:
        return load(data, ask().encode())
    except (TypeError, ValueError, UnsupportedAlgorithm):
        _refuse("--sign", path, f"the passphrase of {path} does not fit.")


def _public(path: str) -> Ed25519PublicKey:
    _library("--signer")
    from cryptography.exceptions import UnsupportedAlgorithm
    from cryptography.hazmat.primitives import serialization
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

    data = file_bytes(path, "--signer", KEY_BYTES)
    if b"PRIVATE KEY" in data:
        _refuse("--signer", path, f"{path} is a private key; the signer's public key is needed.")
    load = serialization.load_pem_public_key if b"-----BEGIN" in data else serialization.load_ssh_public_key
    try:
        key = load(data)
    except (ValueError, UnsupportedAlgorithm):
        _refuse("--signer", path, f"{path} holds no public key: PEM, or OpenSSH's one line, was expected.")
    if not isinstance(key, Ed25519PublicKey):
        _refuse("--signer", path, f"the key in {path} is no Ed25519 key.")
    return key


def _library(option: str) -> None:
    try:
        import cryptography  # noqa: F401
    except ImportError:
        message = "signatures need the cryptography library: pip install 'wirecheck[sign]'."
        raise BadInput([Problem("no-signing-library", message, Place(option))]) from None


def file_bytes(path: str, option: str, most: int) -> bytes:
    """The bytes of a file that an option names. Raises BadInput."""
    try:
        with Path(path).open("rb") as stream:
            data = stream.read(most + 1)
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or "not the name of a file"
        message = f"{path} cannot be read: {why}."
        raise BadInput([Problem("cannot-read", message, Place(option))], {option: path}) from None
    if len(data) > most:
        raise BadInput(
            [Problem("file-too-large", f"{path} is too long for what it should be.", Place(option))]
        )
    return data


def _refuse(option: str, path: str, message: str) -> NoReturn:
    place = Place(option, 1, 1, len(path))
    raise BadInput([Problem("not-a-key", message, place)], {option: path}) from None
