"""The pages' own files, given from memory: a page asks for twenty at once, and none of them waits for a thread."""

from __future__ import annotations

import os
import stat
from collections.abc import MutableMapping
from pathlib import Path
from typing import Any

from starlette.responses import FileResponse, Response
from starlette.staticfiles import StaticFiles

_MOST_BYTES = 200_000


class StaticFromMemory(StaticFiles):
    """Files of a folder; small ones are read once, and again when they have changed."""

    def __init__(self, directory: str | os.PathLike[str]) -> None:
        super().__init__(directory=directory)
        self._kept: dict[str, tuple[int, bytes]] = {}

    async def get_response(self, path: str, scope: MutableMapping[str, Any]) -> Response:
        """Answer one request; large files, and all but a plain GET of what is there, as the framework does."""
        if scope["method"] == "GET":
            full_path, found = self._found(path)
            if found is not None and stat.S_ISREG(found.st_mode) and found.st_size <= _MOST_BYTES:
                answer = self.file_response(full_path, found, scope)
                return self._from_memory(full_path, found, answer) if isinstance(answer, FileResponse) else answer
        return await super().get_response(path, scope)

    def _found(self, path: str) -> tuple[str, os.stat_result | None]:
        try:
            return self.lookup_path(path)
        except (OSError, ValueError):  # no file's name: the framework says so
            return "", None

    def _from_memory(self, path: str, found: os.stat_result, answer: FileResponse) -> Response:
        changed_ns, content = self._kept.get(path, (-1, b""))
        if (changed_ns, len(content)) != (found.st_mtime_ns, found.st_size):
            content = Path(path).read_bytes()
            self._kept[path] = found.st_mtime_ns, content
        del answer.headers["accept-ranges"]
        del answer.headers["content-length"]
        return Response(content, answer.status_code, dict(answer.headers))
