"""``make bench``: run every bench and print one table each."""

from __future__ import annotations

import importlib
import os
import pkgutil
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))

import bench
from bench.clock import Row


def main(wanted: list[str]) -> None:
    """Run the benches named, or all of them.

    Parameters
    ----------
    wanted
        Names of modules in this folder.
    """
    print(f"{os.cpu_count()} processors. Least of several runs, in milliseconds.\n")
    for module in sorted(info.name for info in pkgutil.iter_modules(bench.__path__)):
        if module in ("__main__", "clock") or (wanted and module not in wanted):
            continue
        found = importlib.import_module(f"bench.{module}")
        rows: list[Row] = found.rows()
        print((found.__doc__ or module).splitlines()[0])
        wide = max(len(row.what) for row in rows)
        for row in rows:
            note = f"   {row.note}" if row.note else ""
            print(f"  {row.what:<{wide}}  {row.ms:10.2f}{note}")
        print()


if __name__ == "__main__":
    main(sys.argv[1:])
