"""The workshop's pages: each subject a module with its views and addresses."""
