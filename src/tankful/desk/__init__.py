"""The adviser's desk: clients, cases and answers in the browser. Computes nothing itself."""
