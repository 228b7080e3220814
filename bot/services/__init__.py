"""What Gatepost does, one activity a module: load, ask core, store; chat words what comes back."""
