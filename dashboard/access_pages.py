"""The pages around access, as HTML of their own: signing in, and sharing. They need no script to be read."""

from __future__ import annotations

from markupsafe import Markup, escape

from dashboard.access_codes import Access, spoken
from dashboard.network import own_addresses, picture_path, sign_in_address

_PAGE = Markup("""<!DOCTYPE html>
<html lang="en" data-theme="light">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{title} · Fillmark</title>
<link rel="icon" type="image/svg+xml" href="/assets/favicon.svg">
<link rel="stylesheet" href="/assets/base.css">
<link rel="stylesheet" href="/assets/shell.css">
<link rel="stylesheet" href="/assets/parts.css">
<link rel="stylesheet" href="/assets/access.css">
<script src="/assets/early.js"></script>
<script src="/assets/access.js" defer></script>
</head>
<body>
<header class="masthead access-head">
<div class="masthead-row"><a class="wordmark" href="/">Fillmark</a></div><div class="graduated"></div>
</header>
<main class="page access">{content}</main>
</body>
</html>""")

_SIGN_IN = Markup("""
<h1>Access code</h1>
<p>This day's board is shared by a crew. Type the code that they gave you, or scan the picture on their screen.</p>
<form method="post" action="/sign-in" id="sign-in">
<input type="hidden" name="next" value="{target}">
<label for="code">Code, such as abcd-2345</label>
<input id="code" name="code" type="text" autocomplete="off" autocapitalize="none" spellcheck="false" maxlength="64"
 required autofocus{wrong}>
{message}
<button type="submit" class="do">Sign in</button>
</form>
<p class="hint">What this device has logged and not yet sent is kept.</p>""")

_SHARED = Markup("""
<h1>Let other devices in</h1>
<p>Join the same network as this machine, then scan a picture, or open <b>{address}</b> and type the code.</p>
<div class="access-codes">{cards}</div>
<p>{others}</p>
<p class="hint">The network carries this unencrypted: whoever can listen on it can read along. Use a network with a
password of your own. For new codes, start again with <code>fillmark serve --share --new-codes</code>; every device then
signs in anew.</p>
<p><a href="/">Back to the day</a></p>""")

_CARD = Markup("""
<section class="sheet">
<h2>{title}</h2>
<svg viewBox="0 0 {side} {side}" role="img" aria-label="QR code of the sign-in address, {title}">
<rect class="qr-paper" width="{side}" height="{side}"/><path class="qr-ink" d="{path}"/></svg>
<p class="access-code">{code}</p>
<p>{words}</p>
</section>""")

_NOT_SHARED = Markup("""
<h1>This dashboard is not shared</h1>
<p>It answers on this machine only. To let the crew's phones in, end it and start it with
<code>fillmark serve --share</code>: it then shows an address and an access code.</p>
<p><a href="/">Back to the day</a></p>""")

_NO_NETWORK = Markup("""
<h1>No network</h1>
<p>This machine is in no network, so no other device can reach it. Join one, or open a hotspot on a phone and join that,
then load this page again.</p>
<p><a href="/">Back to the day</a></p>""")

_LOOKING = Markup("""
<h1>This device may only look</h1>
<p>Letting others in, and logging, needs the crew's code.</p>
<p><a href="/sign-in">Sign in with another code</a> · <a href="/">Back to the day</a></p>""")


def sign_in_page(target: str, message: str = "") -> str:
    """The page that asks for the code; target: the path to go on to."""
    said = Markup('<p class="fault" role="alert">{}</p>').format(message) if message else ""
    wrong = Markup(' aria-invalid="true"') if message else ""
    return _page("Access code", _SIGN_IN.format(target=target, message=said, wrong=wrong))


def share_page(access: Access | None, port: int) -> str:
    """The page from which a crew lets others in."""
    addresses = own_addresses()
    if access is None:
        return _page("Not shared", _NOT_SHARED)
    if not addresses:
        return _page("No network", _NO_NETWORK)
    cards = _card("The crew", access.crew, "Reads everything and may log and change.", addresses[0], port) + _card(
        "Others", access.look, "Reads everything, changes nothing.", addresses[0], port
    )
    others = ", ".join(f"http://{address}:{port}" for address in addresses[1:])
    shown = f"This machine has other addresses too: {others}." if others else ""
    content = _SHARED.format(address=f"http://{addresses[0]}:{port}", cards=cards, others=shown)
    return _page("Let other devices in", content)


def looking_page() -> str:
    """What a device sees that may only look and asks for more."""
    return _page("Only to look", _LOOKING)


def _card(title: str, code: str, words: str, address: str, port: int) -> Markup:
    side, path = picture_path(sign_in_address(address, port, code))
    return _CARD.format(title=title, side=side, path=path, code=spoken(code), words=words)


def _page(title: str, content: Markup) -> str:
    return str(_PAGE.format(title=escape(title), content=content))
