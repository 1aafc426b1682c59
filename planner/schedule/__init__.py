"""The scheduler: a solver-free problem value, a decoder, local search, CP-SAT."""
