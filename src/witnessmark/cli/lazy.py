"""Commands are imported when they are called, so that `--help` stays quick."""

from __future__ import annotations

from importlib import import_module

import click


class LazyGroup(click.Group):
    """A group that knows each command's place and one-line help, and imports on use."""

    def __init__(
        self, name: str | None = None, *, commands_at: dict[str, tuple[str, str]], summary: str
    ) -> None:
        super().__init__(
            name=name, help=summary, context_settings={"help_option_names": ["-h", "--help"]}
        )
        self.commands_at = commands_at

    def list_commands(self, _ctx: click.Context) -> list[str]:
        """List the commands in the order they are declared."""
        return list(self.commands_at)

    def get_command(self, _ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Import the module of a command: `module:attribute`."""
        if cmd_name not in self.commands_at:
            return None
        module, attribute = self.commands_at[cmd_name][0].split(":")
        command = getattr(import_module(module), attribute)
        assert isinstance(command, click.Command)
        return command

    def format_commands(self, _ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the one-line helps without importing anything."""
        rows = [(name, text) for name, (_, text) in self.commands_at.items()]
        with formatter.section("Commands"):
            formatter.write_dl(rows)
