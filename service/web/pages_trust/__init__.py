"""The page that shows what the engine was held against."""
