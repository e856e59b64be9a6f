"""A business day: findings and their answers, what is owed, what is shown."""
