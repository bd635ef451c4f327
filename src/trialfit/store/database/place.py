"""Where the workshop is unless somebody says otherwise."""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping
from pathlib import Path

VARIABLE = "TRIALFIT_WORKSHOP"


def usual_folder(environment: Mapping[str, str] = os.environ, system: str = sys.platform) -> Path:
    """Say where the workshop's folder is.

    Parameters
    ----------
    environment
        The shell's variables: TRIALFIT_WORKSHOP names the folder; XDG_DATA_HOME, LOCALAPPDATA and HOME say where the
        system keeps such things.
    system
        Which system it is, as Python names it.

    Returns
    -------
    Path
        The same wherever one stands.
    """
    if environment.get(VARIABLE):
        return Path(environment[VARIABLE])
    home = Path(environment.get("HOME") or environment.get("USERPROFILE") or ".")
    if system == "darwin":
        return home / "Library" / "Application Support" / "trialfit"
    if system.startswith("win"):
        return Path(environment.get("LOCALAPPDATA") or home / "AppData" / "Local") / "trialfit"
    return Path(environment.get("XDG_DATA_HOME") or home / ".local" / "share") / "trialfit"
