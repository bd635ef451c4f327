"""Hollow threaded tails: why one broke, and what the new one will stand.

Source: VDI 2230 part 1 (tightening), FED-STD-H28/2 (stripping), strength of materials for round hollow sections.
"""
