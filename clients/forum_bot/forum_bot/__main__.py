"""The command line: say, webhook, matrix, irc."""

import argparse
import asyncio
import logging
import sys
from contextlib import suppress

from forum_bot.irc import Bot
from forum_bot.platforms import KINDS, platform
from forum_bot.replies import reply
from forum_bot.service import Service
from forum_bot.settings import Settings

_EXAMPLES = """\
examples:
  gearing-forum-bot say "going from 31s to 35s on 4.10s, 3.83 first, 2.72 low"
  FORUM_BOT_SECRET=… gearing-forum-bot webhook --kind generic --port 8001
  FORUM_BOT_IRC_HOST=irc.example.org FORUM_BOT_IRC_CHANNELS='#trucks' gearing-forum-bot irc
"""


def main(arguments: list[str] | None = None) -> int:
    """Run one command; the exit status."""
    parser = argparse.ArgumentParser(
        prog="gearing-forum-bot",
        description="Answers sentences about tyres and gears. Settings come from FORUM_BOT_* variables.",
        epilog=_EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    commands = parser.add_subparsers(required=True, metavar="COMMAND", dest="command")
    say = commands.add_parser("say", help="reply to one sentence here")
    say.add_argument("sentence")
    webhook = commands.add_parser("webhook", help="take signed messages of a forum or chat over HTTP")
    webhook.add_argument("--kind", choices=KINDS, default="generic", help="default: %(default)s")
    webhook.add_argument("--host", default="127.0.0.1", help="default: %(default)s, this machine only")
    webhook.add_argument("--port", type=int, default=8001, help="default: %(default)s")
    commands.add_parser("matrix", help="answer on Matrix")
    commands.add_parser("irc", help="answer on IRC")
    given = parser.parse_args(arguments)
    logging.basicConfig(level=logging.INFO, format="%(asctime)s %(name)s %(message)s")
    try:
        settings = Settings.from_environment()
        if given.command == "webhook":
            return _webhook(settings, given.kind, given.host, given.port)
        if given.command == "matrix":
            return _matrix(settings)
    except ValueError as error:
        print(error, file=sys.stderr)
        return 2
    service = Service(settings.service, settings.units)
    if given.command == "say":
        print(reply(given.sentence, service))
    else:
        with suppress(KeyboardInterrupt):
            asyncio.run(Bot(settings, service).run())
    return 0


def _webhook(settings: Settings, kind: str, host: str, port: int) -> int:
    """Serve the webhook: one process, since each keeps its own memory of what passed and what was asked."""
    from forum_bot.serving import run
    from forum_bot.webhook import create_app

    service = Service(settings.service, settings.units)
    run(create_app(settings, platform(kind, settings), service), host, port)
    return 0


def _matrix(settings: Settings) -> int:
    from forum_bot.matrix import MatrixBot

    async def listen() -> None:
        await MatrixBot(settings, Service(settings.service, settings.units)).run()

    with suppress(KeyboardInterrupt):
        asyncio.run(listen())
    return 0


if __name__ == "__main__":
    sys.exit(main())
