"""Photo: any file a phone or camera makes, read safely and upright. Only it touches the file."""
