"""Which layout of the tables this program knows: the last of the steps under `migrations`."""

HEAD = "0002"
