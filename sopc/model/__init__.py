"""What an office's texts mean: the frozen, typed, resolved record of everything they say."""
