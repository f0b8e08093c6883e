"""Questions asked of a costing; knows no web and no database."""
