"""The command line: one person, one machine, the same jobs."""
