"""The browser of the tests, the pictures and the measuring: Debian's Chromium."""

import shutil


def find() -> str:
    """Give the path of its program: the one without windows where it is installed, else the whole browser.

    Both are of one version and draw alike; a page of its own costs the one without windows a fifth of the work.
    Raises FileNotFoundError where there is neither.
    """
    path = shutil.which("chromium-headless-shell") or shutil.which("chromium")
    if path is None:
        raise FileNotFoundError("Chromium is not on this machine: run make setup")
    return path
