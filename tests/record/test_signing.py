"""Detached signatures: against the standard's own vectors, through the command line, and what is refused."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

import pytest
from cryptography.hazmat.primitives import serialization as form
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from tests.record.conftest import edit
from wirecheck.report.record import signing

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from tests.cli.conftest import Result

    Here = Callable[..., Result]

# RFC 8032 (January 2017), section 7.1, tests 1 and 2; from memory. A wrong digit would not verify.
VECTORS = [
    (
        "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60",
        "",
        (
            "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e06522490155"
            "5fb8821590a33bacc61e39701cf9b46bd25bf5f0595bbe24655141438e7a100b"
        ),
    ),
    (
        "4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb",
        "72",
        (
            "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da"
            "085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302aeeb00d291612bb0c00"
        ),
    ),
]
PEM, SSH = (form.Encoding.PEM, form.PrivateFormat.PKCS8), (form.Encoding.PEM, form.PrivateFormat.OpenSSH)
PUBLIC = {
    PEM: (form.Encoding.PEM, form.PublicFormat.SubjectPublicKeyInfo),
    SSH: (form.Encoding.OpenSSH, form.PublicFormat.OpenSSH),
}
FORMS = pytest.mark.parametrize("kind", [PEM, SSH], ids=["pem", "openssh"])


def write(
    folder: Path, kind: tuple[form.Encoding, form.PrivateFormat], secret: str = "", phrase: str = ""
) -> None:
    """`key` and `key.pub` in a folder."""
    key = (
        Ed25519PrivateKey.from_private_bytes(bytes.fromhex(secret))
        if secret
        else Ed25519PrivateKey.generate()
    )
    shut = form.BestAvailableEncryption(phrase.encode()) if phrase else form.NoEncryption()
    (folder / "key").write_bytes(key.private_bytes(*kind, shut))
    (folder / "key.pub").write_bytes(key.public_key().public_bytes(*PUBLIC[kind]))


@FORMS
@pytest.mark.parametrize(("secret", "message", "signature"), VECTORS, ids=["1", "2"])
def test_the_standards_vectors(
    secret: str, message: str, signature: str, kind: tuple[form.Encoding, form.PrivateFormat], tmp_path: Path
) -> None:
    write(tmp_path, kind, secret)
    made = signing.sign(bytes.fromhex(message), str(tmp_path / "key"), lambda: "")
    assert made.hex() == signature
    assert signing.holds(bytes.fromhex(message), made, str(tmp_path / "key.pub"))
    assert not signing.holds(bytes.fromhex(message) + b"\0", made, str(tmp_path / "key.pub"))


@pytest.fixture
def signed(here: Here, fan: Path) -> Path:
    write(fan, SSH)
    done = here("record", "unit.yaml", "change.yaml", "-o", "r.json", "--sign", "key")
    assert (done.code, done.out.endswith(", signature r.json.sig\n")) == (0, True)
    return fan


def test_signed_and_found_so(here: Here, signed: Path) -> None:
    assert "one lies beside the record; give the signer's public key" in " ".join(
        here("recheck", "r.json").out.split()
    )
    done = here("recheck", "r.json", "--signer", "key.pub")
    assert (done.code, "good: this very file was signed with the key given" in done.out) == (0, True)
    (signed / "r.json.sig").rename(signed / "mine")
    assert here("recheck", "r.json", "--signer", "key.pub", "--signature", "mine").code == 0


def test_a_record_altered_and_sealed_anew_is_found_by_its_signature(here: Here, signed: Path) -> None:
    (signed / "other").mkdir()
    assert here("record", "unit.yaml", "change.yaml", "-o", "r.json", "--made-by", "Somebody Else").code == 0
    assert here("recheck", "r.json").code == 0
    done = here("recheck", "r.json", "--signer", "key.pub")
    assert (done.code, done.out.partition("\n")[0]) == (
        1, "differs: the signature does not fit this record and this key",
    )  # fmt: skip
    write(signed, PEM)
    assert here("recheck", "r.json", "--signer", "key.pub").code == 1


def refusal(here: Here, *args: str) -> str:
    done = here(*args)
    assert (done.code, done.out, "Traceback" in done.err) == (2, "", False)
    return " ".join(done.err.replace("│", " ").split())


def test_keys_that_are_none(here: Here, signed: Path) -> None:
    sign = ("record", "unit.yaml", "change.yaml", "-o", "x.json", "--sign")
    assert "key.pub holds no private key" in refusal(here, *sign, "key.pub")
    assert "missing cannot be read" in refusal(here, *sign, "missing")
    (signed / "curve").write_bytes(
        ec.generate_private_key(ec.SECP256R1()).private_bytes(*PEM, form.NoEncryption())
    )
    assert "the key in curve is no Ed25519 key" in refusal(here, *sign, "curve")
    edit(signed / "key", "OPENSSH PRIVATE KEY-----\nb3Bl", "OPENSSH PRIVATE KEY-----\nb3Bm")
    assert "the key in key cannot be read" in refusal(here, *sign, "key")
    assert not (signed / "x.json").exists()
    check = ("recheck", "r.json", "--signer")
    assert "key is a private key; the signer's public key is needed" in refusal(here, *check, "key")
    assert "unit.yaml holds no public key" in refusal(here, *check, "unit.yaml")
    assert "give the signer's public key too" in refusal(
        here, "recheck", "r.json", "--signature", "r.json.sig"
    )
    (signed / "r.json.sig").unlink()
    assert "r.json.sig cannot be read" in refusal(here, *check, "key.pub")


@FORMS
def test_a_passphrase_is_asked_for(kind: tuple[form.Encoding, form.PrivateFormat], tmp_path: Path) -> None:
    write(tmp_path, kind, phrase="bread and salt")
    made = signing.sign(b"x", str(tmp_path / "key"), lambda: "bread and salt")
    assert signing.holds(b"x", made, str(tmp_path / "key.pub"))
    with pytest.raises(Exception, match=r"passphrase of .* does not fit"):
        signing.sign(b"x", str(tmp_path / "key"), lambda: "cake")


def test_without_the_library_the_error_says_how_to_get_it(
    here: Here, signed: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "cryptography", None)
    said = refusal(here, "recheck", "r.json", "--signer", "key.pub")
    assert "--signer:1:1: no-signing-library: signatures need the cryptography library" in said
    assert here("recheck", "r.json").code == 0
