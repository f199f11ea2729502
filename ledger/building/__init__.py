"""What it takes to build the model: its wheels, its tracks and what to check them by."""
