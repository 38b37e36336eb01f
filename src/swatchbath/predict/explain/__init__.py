"""What was learnt: effects, residuals, and what cannot be told apart."""
