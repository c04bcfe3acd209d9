"""Long recordings with known stretches of music in speech: what is found, missed and invented."""
