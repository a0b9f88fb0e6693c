"""What a machine is; reading, checking and rewriting machine files."""
