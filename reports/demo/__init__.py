"""The invented fund, replayed from its files through the same actions as the pages."""
