"""The routes, one file a group of resources."""
