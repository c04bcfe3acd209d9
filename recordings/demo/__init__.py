"""The invented season of fixtures/season.json, loaded through the reading, drafting and releasing of real work."""
