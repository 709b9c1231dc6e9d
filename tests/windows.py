"""How Windows syncs files, for tests on other systems."""

from __future__ import annotations

import errno
import fcntl
import os

import pytest


def windows_disk(monkeypatch: pytest.MonkeyPatch) -> None:
    """No descriptor can be synced that was opened to be read, as a folder's always is."""

    def windows_fsync(fd: int) -> None:
        if fcntl.fcntl(fd, fcntl.F_GETFL) & os.O_ACCMODE == os.O_RDONLY:
            raise OSError(errno.EBADF, "Bad file descriptor")

    monkeypatch.setattr(os, "fsync", windows_fsync)
