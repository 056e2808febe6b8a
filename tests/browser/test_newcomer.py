"""A newcomer's path, with nothing but what the guide says: a handbook of their own, one new procedure, published behind
nginx."""

import os
import re
import shlex
import shutil
import subprocess
import sys
from contextlib import ExitStack
from pathlib import Path

from playwright.sync_api import expect

from macros.console import ROOT
from macros.launch import INSIDE
from tests import program
from tests.browser import servers
from tests.browser.tools import alive

GUIDE, HEADING = ROOT / "docs" / "publishing.md", "## From nothing to a published handbook"


def commands() -> list[str]:
    """The lines that the guide tells the newcomer to type, in their order."""
    chapter = GUIDE.read_text("utf-8").split(HEADING)[1].split("\n## ")[0]
    lines = [line for block in re.findall(r"```\n(.*?)```", chapter, re.DOTALL) for line in block.splitlines()]
    assert "docs/publishing.md" in (ROOT / "README.md").read_text("utf-8"), "the README leads to the guide"
    return [line for line in lines if line.strip()]


def test_what_the_guide_says_leads_to_a_handbook_that_opens(profile, tmp_path: Path):
    home = program.copied(tmp_path / "program")
    shutil.copytree(ROOT / "content", home / "content")
    address = f"https://localhost:{servers.free_port()}/scrubbers/"
    certificate = servers.certificate(tmp_path, "localhost")  # the guide says that it is there
    conf = tmp_path / "handbook.conf"
    here = {"../our-handbook": tmp_path / "our-handbook", "/srv/handbook": tmp_path / "web",
            "https://handbook.example/scrubbers/": address,
            "/etc/nginx/conf.d/handbook.conf": conf}
    said = {}
    with ExitStack() as open_:
        for line in commands():
            for theirs, ours in here.items():
                line = line.replace(theirs, str(ours))
            if line == "nginx -s reload":
                conf.write_text(servers.beside(conf.read_text("utf-8"), tmp_path), "utf-8")
                open_.enter_context(servers.started("nginx", conf, tmp_path / "nginx", address))
                continue
            assert line.startswith("python3 handbook.py "), line
            ran = subprocess.run(line.replace("python3", shlex.quote(sys.executable), 1), shell=True, cwd=home,
                                 check=False,
                                 env={**os.environ, INSIDE: sys.prefix, "SSL_CERT_FILE": str(certificate)},
                                 stdin=subprocess.DEVNULL, capture_output=True, text=True)
            assert ran.returncode == 0, f"{line}: {ran.stdout}{ran.stderr}"
            said[line.split()[2]] = said.get(line.split()[2], "") + ran.stderr
        assert "Nothing to mend" in said["doctor"]
        assert "Kept what edition 1 says" in said["publish"]
        context = open_.enter_context(profile(*servers.Secure(address, certificate, certificate).flags()))
        context.watch.host = "localhost"
        page = context.new_page()
        page.goto(address)
        expect(page.locator(".whose")).to_contain_text("Our floors")
        page.get_by_role("link", name="Find").click()
        page.get_by_role("searchbox").fill("clean the filter")
        page.get_by_role("link", name="Clean the filter").first.click()
        expect(page.locator("h1")).to_have_text("Clean the filter")
        alive(page)
