"""The invented season of fixtures/season.json, loaded by the reading, drafting and releasing of real work."""
