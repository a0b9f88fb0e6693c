"""What is printed: content (pure) and rendering."""
