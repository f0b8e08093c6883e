"""What the service says of itself while it runs: lines of a log, figures of operation."""
