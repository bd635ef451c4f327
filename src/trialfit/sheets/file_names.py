"""Names of files that any disk takes."""

from __future__ import annotations

import re
from collections.abc import Mapping


def free_name(kind: str, thing: str, taken: Mapping[str, bytes]) -> str:
    """A name any disk takes, and that no other file has, less its ending.

    Parameters
    ----------
    kind
        What sort of sheet it is; the name begins so.
    thing
        What it is about, by its name in the job.
    taken
        Files there are already.

    Returns
    -------
    str
        Such as ``pipe-feed``, with a number where that is taken.
    """
    safe = re.sub(r"[^\w-]+", "-", thing).strip("-")[:60] or "unnamed"
    used = {name.lower().rsplit(".", 1)[0] for name in taken}
    name, count = f"{kind}-{safe}", 1
    while name.lower() in used:
        count += 1
        name = f"{kind}-{safe}-{count}"
    return name
