"""The one rule book: states, actions, bars and the planning problem compiled from a machine."""
