"""Fields held against setbacks, slope, water and drainage."""
