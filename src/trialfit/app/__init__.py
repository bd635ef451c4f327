"""The workshop's own pages and the calls for other programs. Thin: it asks the store, and computes by `plan`."""
