"""Steps from each layout of the database to the next."""
