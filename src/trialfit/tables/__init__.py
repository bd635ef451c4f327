"""Published figures as files, each row with its sources and basis, and what follows from them by plain arithmetic.

The figures lie in ``figures/``; `docs/tables.md` says what each file holds and where print disagrees with itself.

Source: each row names its own, by keys of ``figures/sources.csv``.
"""
