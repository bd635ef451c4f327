"""The job document: what came in, was measured, is wanted. Inputs only; no result is ever stored in it."""
