"""Speed and memory of an analysis as takes grow: 1, 3, 10 and 60 minutes."""
