"""What a batch keeps on disk, and what decides whether a reading still stands."""
