"""Things that are no plug: parts that look a little like one, tools, and hands in gloves."""
