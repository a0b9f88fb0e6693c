"""Belt and chain runs: path, length, tensioner travel, routing found again, drawing."""
