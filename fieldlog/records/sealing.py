"""Encryption of what leaves the computer, in the age format (age-encryption.org/v1).

One file is sealed with a passphrase. A folder of backups has a key of its own: the public half lies
beside the backups, so that a backup needs no passphrase; the private half is sealed with the
passphrase, so that reading one does. Any other age program opens both.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from fieldlog.errors import BadImport, InputError
from fieldlog.records.files import write_whole

PRIVATE = "key.age"
PUBLIC = "key.pub"
SHORTEST = 8
"""Fewest characters of a passphrase that is accepted for a new key or file."""


def _age() -> Any:
    try:
        import pyrage
    except ImportError as problem:
        raise InputError(
            "Encryption is not installed.", "Install it: pip install 'fieldlog[safe]'."
        ) from problem
    return pyrage


def seal(content: bytes, passphrase: str) -> bytes:
    """The content as an age file that the passphrase opens.

    Raises:
        InputError: the passphrase is too short, or encryption is not installed.
    """
    if len(passphrase) < SHORTEST:
        raise InputError(
            f"A passphrase needs at least {SHORTEST} characters.", "Four random words are good."
        )
    sealed: bytes = _age().passphrase.encrypt(content, passphrase)
    return sealed


def unseal(sealed: bytes, passphrase: str) -> bytes:
    """What ``seal`` took.

    Raises:
        InputError: the passphrase is wrong, or the file is damaged.
    """
    age = _age()
    try:
        content: bytes = age.passphrase.decrypt(sealed, passphrase)
    except age.DecryptError as problem:
        raise InputError(
            "The passphrase does not open this file, or the file is damaged.",
            "Type it again; without it nobody can read the file.",
        ) from problem
    return content


def make_key(folder: Path, passphrase: str) -> None:
    """Give a folder its key; a folder that has one keeps it.

    Raises:
        InputError: the passphrase is too short or opens not the key that is there.
    """
    if (folder / PRIVATE).exists():
        unseal((folder / PRIVATE).read_bytes(), passphrase)
        return
    identity = _age().x25519.Identity.generate()
    write_whole(folder / PRIVATE, seal(str(identity).encode(), passphrase))
    write_whole(folder / PUBLIC, str(identity.to_public()).encode())


def is_sealed(folder: Path) -> bool:
    """Whether what goes into this folder is encrypted."""
    return (folder / PRIVATE).exists()


def seal_file(source: Path, target: Path, folder: Path) -> None:
    """Encrypt a file for the key of ``folder``, piece by piece.

    Raises:
        BadImport: the folder's public key is damaged.
    """
    age = _age()
    try:
        public = age.x25519.Recipient.from_str((folder / PUBLIC).read_text("ascii").strip())
    except (age.RecipientError, OSError, UnicodeDecodeError) as problem:
        raise BadImport(
            f"The key {folder / PUBLIC} cannot be read.", "Use another folder for backups."
        ) from problem
    with source.open("rb") as clear, target.open("wb") as sealed:
        age.encrypt_io(clear, sealed, [public])


def unseal_file(source: Path, target: Path, key: Any) -> None:
    """Decrypt a file with a key from ``open_key``, piece by piece.

    Raises:
        BadImport: the file is damaged or made for another key.
    """
    age = _age()
    try:
        with source.open("rb") as sealed, target.open("wb") as clear:
            age.decrypt_io(sealed, clear, [key])
    except (age.DecryptError, OSError) as problem:
        raise BadImport(
            f"{source.name} cannot be decrypted ({problem}).", "Use another backup."
        ) from problem


def open_key(folder: Path, passphrase: str) -> Any:
    """The private key of a folder.

    Raises:
        InputError: the passphrase is wrong.
    """
    text = unseal((folder / PRIVATE).read_bytes(), passphrase).decode()
    return _age().x25519.Identity.from_str(text)
