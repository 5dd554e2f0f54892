"""What the desk keeps: clients, their cases, every change, who may come in."""
