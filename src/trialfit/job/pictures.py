"""The picture files a job names, against those that are there."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from trialfit.job.found import Found
from trialfit.job.nearest import nearest
from trialfit.job.written import tables, text


def picture_faults(document: dict[str, Any], pictures: Collection[str] | None) -> list[Found]:
    """Find picture files named wrongly.

    Parameters
    ----------
    document
        As read from TOML.
    pictures
        Names of the files in photographs/; None where nobody has looked.

    Returns
    -------
    list
        Files named twice, files outside the folder, and files that are not there.
    """
    faults: list[Found] = []
    first: dict[str, str] = {}
    for name, entry in tables(document, "photographs").items():
        file = text(entry, "file")
        if file is None:
            continue
        path = ("photographs", name, "file")
        if file != file.strip() or "/" in file or "\\" in file or file in (".", "..") or not file.isprintable():
            remedy = "Put the file into photographs/ and give its bare name."
            faults.append(Found(path, f'"{file}"', "the bare name of a file in photographs/", remedy))
        elif file in first:
            remedy = "Give each photograph its own file, or take one of the two out."
            faults.append(Found(path, f'"{file}", which photograph {first[file]} has too', "another file", remedy))
        elif pictures is not None and file not in pictures:
            near = nearest(file, pictures)
            remedy = f'Did you mean "{near}"?' if near else "Put the file there, or mend its name."
            faults.append(Found(path, f'"{file}"', "a file that is in photographs/", remedy))
        first.setdefault(file, name)
    return faults
