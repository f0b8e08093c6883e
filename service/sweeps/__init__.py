"""Many farms or settings of one scenario, costed in chunks on any executor."""
