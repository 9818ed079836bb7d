"""What a shipped network is trained with; no test, and nothing that the program imports."""
