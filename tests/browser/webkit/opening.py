"""WebKitGTK on a screen that nobody sees, driven over WebDriver: for the tests, and for what is measured."""

import os
import subprocess
import warnings
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from selenium.webdriver import WebKitGTK
from selenium.webdriver.common.by import By
from selenium.webdriver.remote.webelement import WebElement
from selenium.webdriver.support.wait import WebDriverWait
from selenium.webdriver.webkitgtk.options import Options
from selenium.webdriver.webkitgtk.service import Service

from macros.webkit import WebKit
from tests.browser.tools import PATIENCE


class Window:
    """A browser's window with what the stories need of it."""

    def __init__(self, driver: WebKitGTK) -> None:
        self.driver = driver

    def open(self, url: str) -> None:
        """Go to a page and wait until its scripts are in place."""
        self.driver.get(url)
        self.until(lambda: self.run("return 'alive' in document.documentElement.dataset"), f"the scripts of {url}")

    def run(self, script: str, *arguments: object) -> object:
        """What a script in the page returns; a promise is awaited by `later`."""
        return self.driver.execute_script(script, *arguments)

    def later(self, script: str, *arguments: object) -> object:
        """What an async function body in the page comes to."""
        done = ("const done = arguments[arguments.length - 1], given = [...arguments].slice(0, -1);"
                f"(async (...arguments) => {{ {script} }})(...given).then(done, (error) => "
                f"done({{ error: String(error) }}));")
        return self.driver.execute_async_script(done, *arguments)

    def one(self, selector: str) -> WebElement:
        """The first element of a CSS selector, once it is there."""
        return self.until(lambda: next(iter(self.driver.find_elements(By.CSS_SELECTOR, selector)), None), selector)

    def type(self, selector: str, text: str) -> None:
        """Put `text` in place of what a field holds, key by key, once it is seen."""
        field = self.one(selector)
        self.until(field.is_displayed, f"{selector}, seen")
        self.run("arguments[0].scrollIntoView({ block: 'center' }); arguments[0].select()", field)
        field.send_keys(text)

    def press(self, selector: str) -> None:
        """Press a button, brought clear of the bar at the foot first."""
        button = self.one(selector)
        self.run("arguments[0].scrollIntoView({ block: 'center' })", button)
        button.click()

    def until(self, there: Callable[[], object], what: str) -> object:
        """What `there` returns once that is something."""
        return WebDriverWait(self.driver, PATIENCE / 1000).until(lambda _driver: there(), f"not there in time: {what}")


@contextmanager
def screen(found: WebKit) -> Iterator[str]:
    """The number of a screen of its own, such as ":3"."""
    reading, writing = os.pipe()
    process = subprocess.Popen([found.screen, "-displayfd", str(writing), "-screen", "0", "1280x1024x24", "-nolisten",
                                "tcp"],
                               pass_fds=[writing], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    os.close(writing)
    with os.fdopen(reading) as said:
        number = said.readline().strip()
    assert number, "the screen did not start"
    try:
        yield f":{number}"
    finally:
        process.terminate()
        process.wait()


@contextmanager
def window(found: WebKit, screen: str, home: Path) -> Iterator[Window]:
    """The window, 1024 by 768, with nothing kept from before; what it keeps goes into the folder `home`."""
    options = Options()
    options.binary_location = found.window
    options.add_argument("--automation")
    env = {**os.environ, "DISPLAY": screen, "HOME": str(home), "XDG_DATA_HOME": str(home), "XDG_CACHE_HOME": str(home),
           # As root there is no other way to start its processes; nothing but our own pages is opened.
           "WEBKIT_DISABLE_SANDBOX_THIS_IS_DANGEROUS": "1"}
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)  # of the library, about its own call
        driver = WebKitGTK(options=options, service=Service(found.driver, env=env))
    driver.set_window_size(1024, 768)
    driver.set_script_timeout(PATIENCE / 1000)
    driver.set_page_load_timeout(PATIENCE / 1000)
    try:
        yield Window(driver)
    finally:
        driver.quit()
