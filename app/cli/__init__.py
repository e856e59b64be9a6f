"""The commands: `flask --app app …`. Every failure is one clear line on standard error."""

from flask import Flask

from .copies import backup, restore
from .people import equipment, password, person, retire, role, token
from .plans import plan
from .records import accept_clock, log, rebuild, sign, verify
from .serving import certificate, postgresql
from .setting_up import demo, init, upgrade
from .signed_logs import archive, signing_certificate
from .work import jobs

_COMMANDS = (
    *(init, upgrade, demo, person, role, retire, password, equipment, plan, token),
    *(sign, verify, rebuild, accept_clock, log, backup, restore, jobs),
    *(postgresql, certificate, archive, signing_certificate),
)


def init_app(app: Flask) -> None:
    """Add the commands to the app."""
    for command in _COMMANDS:
        app.cli.add_command(command)
