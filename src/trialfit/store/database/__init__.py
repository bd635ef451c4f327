"""The workshop's database: job documents as revisions that are only ever added, photographs named by their hash."""
