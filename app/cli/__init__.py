"""The commands: `flask --app app …`. Every failure is one clear line on standard error."""

from flask import Flask

from . import copies, people, plans, records, setting_up

_COMMANDS = (
    setting_up.init,
    people.person,
    people.retire,
    people.password,
    people.equipment,
    plans.plan,
    records.sign,
    people.token,
    setting_up.demo,
    records.verify,
    records.log,
    copies.backup,
    copies.restore,
)


def init_app(app: Flask) -> None:
    """Add the commands to the app."""
    for command in _COMMANDS:
        app.cli.add_command(command)
