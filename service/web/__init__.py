"""The HTTP interface: reads requests, asks the core, writes answers and problems."""
