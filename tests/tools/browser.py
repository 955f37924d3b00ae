"""Chromium driven by the open WebDriver protocol, with nothing but Python."""

import base64
import json
import re
import subprocess
import tempfile
import urllib.request
from pathlib import Path

FLAGS = [
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--disable-quic",
    "--no-first-run", "--disable-background-networking", "--disable-component-update",
    "--disable-sync", "--hide-scrollbars",
]  # fmt: skip


class Browser:
    """One session; a context manager that ends all it started."""

    def __enter__(self):
        self.profile = tempfile.TemporaryDirectory(ignore_cleanup_errors=True)
        self.driver = subprocess.Popen(["chromedriver", "--port=0"], stdout=subprocess.PIPE, text=True)
        for line in self.driver.stdout:
            if port := re.search(r"successfully on port (\d+)", line):
                break
        self.base = f"http://127.0.0.1:{port[1]}"
        chrome = {"args": [*FLAGS, f"--user-data-dir={self.profile.name}"]}
        wanted = {"alwaysMatch": {"browserName": "chrome", "goog:chromeOptions": chrome}}
        session = self.call("POST", "/session", {"capabilities": wanted})
        self.base += f"/session/{session['sessionId']}"
        return self

    def __exit__(self, *_):
        try:
            self.call("DELETE", "", None)
        finally:
            self.driver.terminate()
            self.driver.wait(10)
            self.profile.cleanup()

    def call(self, method, path, body=None):
        data = None if body is None else json.dumps(body).encode()
        request = urllib.request.Request(self.base + path, data, {"Content-Type": "application/json"}, method=method)
        with urllib.request.urlopen(request, timeout=120) as answer:
            return json.load(answer)["value"]

    def cdp(self, method, **parameters):
        return self.call("POST", "/goog/cdp/execute", {"cmd": method, "params": parameters})

    def open(self, url):
        self.call("POST", "/url", {"url": url})

    def script(self, text, *arguments):
        return self.call("POST", "/execute/sync", {"script": text, "args": arguments})

    def view(self, width, height, dark=False, scale=1):
        self.cdp(
            "Emulation.setDeviceMetricsOverride",
            width=width, height=height, deviceScaleFactor=scale, mobile=width < 600,
        )  # fmt: skip
        scheme = {"name": "prefers-color-scheme", "value": "dark" if dark else "light"}
        self.cdp("Emulation.setEmulatedMedia", features=[scheme])

    def shot(self, path, whole=True):
        answer = self.cdp("Page.captureScreenshot", format="png", captureBeyondViewport=whole)
        Path(path).write_bytes(base64.b64decode(answer["data"]))

    def pdf(self, path, width, height):
        answer = self.cdp("Page.printToPDF", paperWidth=width, paperHeight=height, printBackground=False)
        Path(path).write_bytes(base64.b64decode(answer["data"]))
