"""Hears what a browser complains about: its console, its scripts, what it may not or cannot load."""

from __future__ import annotations

from playwright.sync_api import BrowserContext, ConsoleMessage, Request, Response, WebError

REPORT = "reportPolicyViolation"
# In capture, on the window: nothing on the page can stop it.
LISTEN = f"""
addEventListener("securitypolicyviolation", (event) => {{
    window.{REPORT}(`${{event.effectiveDirective}} forbids ${{event.blockedURI}} ${{event.sample}}`);
}}, true);
"""
# The browser repeats in its console what `_answered` judges by status: a refused form (422) is no fault.
ECHO = "Failed to load resource:"
PARTS = {"script", "stylesheet", "image", "font", "manifest", "media"}


class Watch:
    """Collects faults of every context it follows. A test that provokes one takes it."""

    def __init__(self) -> None:
        self.faults: list[str] = []

    def take(self) -> list[str]:
        """What was heard so far; it is a fault no longer."""
        taken, self.faults = self.faults, []
        return taken

    def follow(self, context: BrowserContext) -> None:
        """Hears all pages of a context, from before their first."""
        context.on("console", self._said)
        context.on("weberror", self._threw)
        context.on("response", self._answered)
        context.on("requestfailed", self._lost)
        context.expose_binding(REPORT, lambda source, text: self.faults.append(f"policy: {text}"))
        context.add_init_script(LISTEN)

    def _said(self, message: ConsoleMessage) -> None:
        if message.type in {"error", "warning"} and not message.text.startswith(ECHO):
            self.faults.append(f"console {message.type}: {message.text}")

    def _threw(self, error: WebError) -> None:
        self.faults.append(f"script: {error.error}")

    def _answered(self, response: Response) -> None:
        if response.status >= 500 or (response.status >= 400 and response.request.resource_type in PARTS):
            self.faults.append(f"answer {response.status}: {response.url}")

    def _lost(self, request: Request) -> None:
        # Aborted: the browser went elsewhere, or the answer was a download.
        if request.failure != "net::ERR_ABORTED":
            self.faults.append(f"no answer: {request.url} {request.failure}")
