"""What there is to read: folders, globs, photos, lists and shared storage, listed in a stream."""
