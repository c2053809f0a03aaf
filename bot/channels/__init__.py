"""The doors people speak through: each carries words in and answers out, and thinks nothing itself."""
