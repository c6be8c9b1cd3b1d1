"""What a batch leaves for people and programs: records, tables, a sheet to look through, a plot."""
