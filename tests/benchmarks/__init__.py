"""Speed and memory, measured: ``python -m tests.benchmarks`` prints every figure."""
