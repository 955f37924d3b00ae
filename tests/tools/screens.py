"""Pictures of the demo; see screens.sh."""

import subprocess
import sys
import tempfile
from pathlib import Path

from browser import Browser

SIZES = {"360": (360, 800), "768": (768, 1024), "1280": (1280, 800)}
LETTER = (8.5, 11.0)
A4 = (210 / 25.4, 297 / 25.4)


class Demo:
    """The program's demo on a free port, with a data folder of its own."""

    def __init__(self, program):
        self.program = program

    def __enter__(self):
        self.data = tempfile.TemporaryDirectory()
        self.child = subprocess.Popen(
            [self.program, "demo", "--listen", "127.0.0.1:0", "--data", self.data.name + "/demo"],
            stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True,
        )  # fmt: skip
        self.people = {}
        for line in self.child.stdout:
            if line.startswith("sign in\t"):
                _, name, password, role = line.rstrip("\n").split("\t")
                self.people.setdefault(role, (name, password))
            if line.startswith("listening on "):
                self.address = line.removeprefix("listening on ").strip()
                return self
        raise SystemExit("the demo did not start")

    def __exit__(self, *_):
        self.child.terminate()
        self.child.wait(20)
        self.data.cleanup()


def sign_in(browser, demo, role):
    browser.call("DELETE", "/cookie")
    browser.open(demo.address + "/sign-in")
    send = """const f = document.querySelector('form[action^="/sign-in"]');
        f.elements.sign_in.value = arguments[0]; f.elements.password.value = arguments[1];
        f.querySelector('button').click();"""
    browser.script(send, *demo.people[role])
    wait = "return !document.querySelector('input[name=password]') && document.readyState === 'complete'"
    for _ in range(50):
        if browser.script(wait):
            return
    raise SystemExit(f"could not sign in as {role}")


def first_link(browser, demo, page, start):
    """The first link on a page to an address that begins so."""
    browser.open(demo.address + page)
    find = """return [...document.querySelectorAll('main a[href]')].map(a => a.getAttribute('href'))
        .find(h => h.startsWith(arguments[0]) && /^(?!new$|enquiries$|visits$)[\\w-]+$/.test(h.slice(arguments[0].length)))"""
    return browser.script(find, start)


def head_with_drops(browser, demo):
    """A head that shows much: the one whose cut sheet has the most pieces."""
    browser.open(demo.address + "/heads")
    find = "return [...document.querySelectorAll('main table a[href^=\"/heads/\"]')].map(a => a.getAttribute('href'))"
    best = (0, None)
    for href in browser.script(find):
        browser.open(demo.address + href + "/sheet")
        rows = browser.script("return document.querySelectorAll('tr.piece').length")
        best = max(best, (rows, href), key=lambda pair: pair[0])
    return best[1]


def places(browser, demo):
    """Name and address of every page worth a picture, as the owner sees it."""
    client = first_link(browser, demo, "/clients", "/clients/")
    job = first_link(browser, demo, "/jobs", "/jobs/")
    opening = first_link(browser, demo, job, "/openings/")
    head = head_with_drops(browser, demo)
    return {
        "today": "/", "help": "/help", "clients": "/clients", "client-new": "/clients/new",
        "enquiries": "/clients/enquiries", "visits": "/clients/visits", "client": client,
        "jobs": "/jobs", "job": job, "job-edit": f"{job}/edit", "opening": opening,
        "opening-edit": f"{opening}/edit", "measure": f"{opening}/measure", "heads": "/heads",
        "head": head, "design": f"{head}/design", "sheet": f"{head}/sheet",
        "settings": "/firm/settings", "record": "/firm/record", "head-new": f"/heads/new/{opening.rsplit('/', 1)[1]}",
        "firm": "/firm", "people": "/firm/people", "profile": "/firm/profile",
    }  # fmt: skip


def paper(browser, folder, name, size, dots, only=None):
    """Prints the page and draws its sheets, or only one, in grey."""
    pdf = folder / f"{name}.pdf"
    browser.pdf(pdf, *size)
    command = ["pdftoppm", "-r", str(dots), "-gray", "-png"]
    if only:
        command += ["-singlefile", "-f", str(only)]
    subprocess.run([*command, pdf, folder / name], check=True)


def every_page(browser, demo, folder):
    sign_in(browser, demo, "owner")
    found = places(browser, demo)
    for name, path in found.items():
        browser.open(demo.address + path)
        for width, size in SIZES.items():
            for dark in (False, True):
                browser.view(*size, dark=dark)
                browser.shot(folder / f"{name}-{width}{'-dark' if dark else ''}.png")
    for name in ("sheet", "head", "job"):
        browser.open(demo.address + found[name])
        paper(browser, folder, f"{name}-letter", LETTER, 70)
        paper(browser, folder, f"{name}-a4", A4, 70)
    for role in ("office", "foreman", "carpenter"):
        sign_in(browser, demo, role)
        for width, size in SIZES.items():
            browser.view(*size)
            browser.shot(folder / f"today-{role}-{width}.png")


def for_readme(browser, demo, folder):
    sign_in(browser, demo, "owner")
    found = places(browser, demo)
    for name, page, size, scale in (
        ("head-1280", "head", SIZES["1280"], 1),
        ("sheet-360", "sheet", SIZES["360"], 2),
        ("opening-360", "measure", SIZES["360"], 2),
    ):
        browser.view(*size, scale=scale)
        browser.open(demo.address + found[page])
        # A cut sheet is known by its first piece, not by its heading.
        browser.script("document.querySelector('tr.piece')?.scrollIntoView()")
        browser.shot(folder / f"{name}.png", whole=False)
    browser.open(demo.address + found["sheet"])
    paper(browser, folder, "sheet-paper", LETTER, 80, only=2)
    (folder / "sheet-paper.pdf").unlink()


def main(program, *arguments):
    everything = arguments[0] == "--all"
    folder = Path(arguments[-1])
    folder.mkdir(parents=True, exist_ok=True)
    with Demo(program) as demo, Browser() as browser:
        browser.view(1280, 800)
        (every_page if everything else for_readme)(browser, demo, folder)
    print(f"{len(list(folder.glob('*.png')))} pictures in {folder}")


if __name__ == "__main__":
    main(*sys.argv[1:])
