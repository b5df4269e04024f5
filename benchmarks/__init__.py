"""Speed and memory against the bars of the design; `python -m benchmarks` writes the table of README.md."""
