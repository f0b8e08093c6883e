"""Reference values: figures with unit, range and source, in editions."""
