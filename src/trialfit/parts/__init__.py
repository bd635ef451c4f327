"""Parts with their ports, and what mates with what."""
