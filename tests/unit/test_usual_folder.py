"""Unit: where the workshop's folder is, by the systems' own rules: XDG base directories, the others from memory."""

from __future__ import annotations

from pathlib import Path

import pytest

from trialfit.store.database.place import usual_folder


@pytest.mark.parametrize(
    ("environment", "system", "folder"),
    [
        ({"HOME": "/home/bench"}, "linux", "/home/bench/.local/share/trialfit"),
        ({"HOME": "/home/bench", "XDG_DATA_HOME": "/srv"}, "linux", "/srv/trialfit"),
        ({"HOME": "/Users/bench"}, "darwin", "/Users/bench/Library/Application Support/trialfit"),
        ({"USERPROFILE": "C:/Users/bench", "LOCALAPPDATA": "C:/L"}, "win32", "C:/L/trialfit"),
        ({"HOME": "/home/bench", "TRIALFIT_WORKSHOP": "/jobs"}, "linux", "/jobs"),
    ],
)
def test_the_folder_is_where_the_system_keeps_such_things(
    environment: dict[str, str], system: str, folder: str
) -> None:
    assert usual_folder(environment, system) == Path(folder)
