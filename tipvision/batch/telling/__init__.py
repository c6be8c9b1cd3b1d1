"""What a run says: how it goes on, and what it came to."""
