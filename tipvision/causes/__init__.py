"""Why the plug looks as it does, which check comes next, what to do, and what to beware of."""
