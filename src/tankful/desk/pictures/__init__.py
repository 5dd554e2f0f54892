"""Pictures of an answer, each with the table that it is drawn from."""
