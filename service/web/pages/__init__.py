"""Pages for people: what they say, and the templates that say it."""
