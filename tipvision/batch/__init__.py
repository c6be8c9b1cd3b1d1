"""Many photos: what to read, workers that read it, a store that lets a run go on where it ended."""
