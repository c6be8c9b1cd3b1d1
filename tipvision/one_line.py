"""What an error of another package says, fit for the middle of a line of ours."""


def one_line(error: Exception) -> str:
    """Its words on one line, or its name where it says nothing; of the system's errors their words
    alone, without number and path."""
    said = getattr(error, "strerror", None) or str(error)
    return " ".join(str(said).split()) or type(error).__name__
