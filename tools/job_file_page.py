"""Make the key-by-key part of docs/job-file.md anew from the records; the introduction above it is kept."""

from __future__ import annotations

from pathlib import Path

from trialfit.job.describe import describe

PAGE = Path(__file__).parents[1] / "docs" / "job-file.md"
MADE_BELOW = "<!-- From here on made by tools/job_file_page.py from the records; change it there. -->\n"

if __name__ == "__main__":
    introduction, _, _ = PAGE.read_text(encoding="utf-8").partition(MADE_BELOW)
    PAGE.write_text(f"{introduction}{MADE_BELOW}\n{describe()}", encoding="utf-8")
