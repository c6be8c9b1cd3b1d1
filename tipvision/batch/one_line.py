"""What an error of another package says, fit for the middle of a line of ours."""


def one_line(error: Exception) -> str:
    """Its words on one line, or its name where it says nothing."""
    return " ".join(str(error).split()) or type(error).__name__
