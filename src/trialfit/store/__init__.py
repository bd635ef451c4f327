"""Files, photographs and the workshop's database. Holds jobs and never computes."""
