"""Setting the kitchen up: people, equipment, plan, tablets and tokens."""
