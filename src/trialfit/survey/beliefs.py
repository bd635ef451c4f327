"""What is said of an unknown beforehand: nothing, or everything. Source: words only."""

from __future__ import annotations

FREE = float("inf")
HELD = 0.0
