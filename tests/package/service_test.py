"""The daemon as the service runs it: a shift with page, webhook, command, report and export, under the unit's own
restrictions; and of the secrets it was given none comes out.

Usage: service_test.py BUILD UNIT
"""
import http.server
import json
import os
import pathlib
import signal
import sqlite3
import sys
import threading
import time
import unittest
import urllib.error
import urllib.request
import zipfile

import plant

BUILD, UNIT = sys.argv[1:3]
HERE = pathlib.Path(__file__).resolve().parent
# Of shapes that nothing else has, so that a find is a leak.
WEBHOOK_KEY = "wh00k-7b1f5d1c9a-kept-for-receivers"
MAIL_PASSWORD = "m41l-0c6d2f77aa-kept-for-the-server"
PERSON_PASSWORD = "p3rs0n-55d0e1b2c4 walks in here"


class Receiver(http.server.BaseHTTPRequestHandler):
    seen = []
    came = threading.Condition()

    def do_POST(self):
        body = self.rfile.read(int(self.headers["Content-Length"]))
        with self.came:
            self.seen.append((dict(self.headers), body))
            self.came.notify_all()
        self.send_response(200)
        self.end_headers()

    def log_message(self, *_):
        pass


class Browser:
    def __init__(self, address):
        self.address, self.cookie, self.token = address, "", ""

    def ask(self, path, body=None):
        request = urllib.request.Request(self.address + path, data=None if body is None else json.dumps(body).encode())
        request.add_header("Content-Type", "application/json")
        if self.cookie:
            request.add_header("Cookie", self.cookie)
            request.add_header("X-Quietpass-Token", self.token)
        with urllib.request.urlopen(request, timeout=60) as answer:
            if answer.headers["Set-Cookie"]:
                self.cookie = answer.headers["Set-Cookie"].split(";")[0]
            return answer.read()

    def log_in(self, name, password):
        self.token = json.loads(self.ask("/api/v1/login", {"name": name, "password": password}))["token"]


def until(what, within_s=90):
    """A condition on files and answers of another process: looked at until it holds."""
    end = time.monotonic() + within_s
    while not (value := what()):
        assert time.monotonic() < end, "not within time"
        threading.Event().wait(0.1)
    return value


class Service(unittest.TestCase):
    """One run for all: it is the dear part."""

    @classmethod
    def setUpClass(cls):
        receiver = http.server.ThreadingHTTPServer(("127.0.0.1", 0), Receiver)
        threading.Thread(target=receiver.serve_forever, daemon=True).start()
        more = f"""
[page]
port = 0
[alarms]
hold_limit_s = 0.5
[[delivery]]
kind = "webhook"
name = "hook"
url = "http://127.0.0.1:{receiver.server_port}/alarm"
secret_file = "hook.secret"
[[delivery]]
kind = "mail"
name = "mail"
url = "smtp://127.0.0.1:9"
from = "box@example.org"
to = ["foreman@example.org"]
login_file = "mail.secret"
[[delivery]]
kind = "command"
name = "lamp"
program = "/bin/true"
"""
        os.umask(0o077)  # as whoever adds people in a folder that is closed to others
        cls.plant = here = plant.Plant(BUILD, more)
        cls.addClassCleanup(here.__exit__)
        for name, text in (("hook.secret", WEBHOOK_KEY + "\n"), ("mail.secret", f"box\n{MAIL_PASSWORD}\n")):
            (here.folder / name).write_text(text)
            (here.folder / name).chmod(0o600)
        cls.said = here.run("users", "add", "ines", "--role", "administrator", "--out", str(here.out),
                            text=PERSON_PASSWORD + "\n")
        if os.geteuid() == 0:
            here.give_to(65534)
        daemon = here.daemon(before=[str(HERE / "as_the_unit"), UNIT, str(here.state)], words=["--show"])
        cls.log, cls.shown = plant.Lines(daemon.stderr), plant.Lines(daemon.stdout)
        try:
            address = cls.log.wait_for(r"page: (http\S+)/")[1]
        except AssertionError:
            if daemon.wait() == 77:
                raise unittest.SkipTest("no libseccomp or no systemd-analyze here")
            raise
        browser = Browser(address)
        try:
            browser.log_in("ines", "not " + PERSON_PASSWORD)
        except urllib.error.HTTPError as refused:
            cls.refusal = refused.read()
        browser.log_in("ines", PERSON_PASSWORD)
        for _ in range(6):  # a header, then the passages
            cls.shown.wait_for(r".")
        with Receiver.came:
            Receiver.came.wait_for(lambda: Receiver.seen, timeout=60)
        rows = until(lambda: [row for row in json.loads(browser.ask("/api/v1/calls"))["calls"] if row["clip_id"]])
        clip = rows[0]["clip_id"]
        cls.sound = browser.ask(f"/api/v1/clips/{clip}/audio")
        cls.picture = browser.ask(f"/api/v1/clips/{clip}/spectrogram")
        case = json.loads(browser.ask("/api/v1/cases", {"reference": "R-1", "asked_by": "somebody"}))["case_id"]
        browser.ask(f"/api/v1/cases/{case}/gather", {"shift_id": rows[0]["shift_id"], "calling": True})
        export = json.loads(browser.ask(f"/api/v1/cases/{case}/export", {}))["export_id"]
        until(lambda: json.loads(browser.ask(f"/api/v1/exports/{export}"))["state"] in ("done", "failed"))
        cls.bundle = browser.ask(f"/api/v1/exports/{export}/file")
        cls.pages = [browser.ask("/api/v1/" + path) for path in
                     ("station", "station/reload", "alarms", "shifts", "profiles", "session")] + [browser.ask("/metrics")]
        proc = pathlib.Path(f"/proc/{daemon.pid}")
        cls.seen_by_all = (proc / "cmdline").read_bytes() + (proc / "environ").read_bytes()
        cls.modes = {path: path.stat().st_mode & 0o777 for path in here.out.rglob("*") if path.is_file()}
        cls.status = (proc / "status").read_text()
        daemon.send_signal(signal.SIGTERM)
        cls.exit_code = daemon.wait(timeout=120)
        cls.log_text, cls.shown_text = cls.log.rest(), cls.shown.rest()

    def test_the_daemon_hears_a_whole_shift_with_no_more_than_the_unit_gives_it(self):
        self.assertEqual(self.exit_code, 0, self.log_text[-3000:])
        [record] = self.plant.out.glob("shifts/*/shift.json")
        figures = json.loads(record.read_text())
        self.assertEqual((figures["scored"], figures["vocal"], figures["excluded"]), (5, 2, {}))
        self.assertIn("NoNewPrivs:\t1", self.status)
        self.assertIn("Seccomp:\t2", self.status)
        self.assertIn("CapEff:\t0000000000000000", self.status)
        self.plant.run("verify", "--out", str(self.plant.out))

    def test_page_clip_report_and_export_work_under_it_too(self):
        self.assertTrue(self.sound.startswith(b"fLaC"))
        self.assertTrue(self.picture.startswith(b"\x89PNG"))
        self.assertGreater(len(self.plant.run("report", "--format", "csv", "--out", str(self.plant.out))), 100)
        self.assertTrue(self.bundle.startswith(b"PK"))
        self.assertTrue(Receiver.seen)

    def test_what_it_writes_is_for_its_own_user_only(self):
        self.assertTrue(self.modes)
        open_ones = {str(path): oct(mode) for path, mode in self.modes.items() if mode & 0o077 and path.name != "page.crt"}
        self.assertEqual(open_ones, {})

    def test_no_secret_is_in_log_process_list_answers_records_or_exports(self):
        out = self.plant.out
        key_file = out / "key/station.key"
        secrets = {WEBHOOK_KEY, MAIL_PASSWORD, PERSON_PASSWORD}
        for line in key_file.read_text().split():
            if len(line) >= 32:
                secrets.add(line)
        users = sqlite3.connect(out / "users.db")
        secrets |= {row[0] for row in users.execute("SELECT hash FROM users")}
        users.close()
        self.assertGreaterEqual(len(secrets), 5)
        backup = self.plant.folder / "backup.db"
        self.plant.run("backup", "--out", str(out), "--to", str(backup))
        places = {"log": self.log_text, "shown": self.shown_text, "command line and environment": self.seen_by_all,
                  "said by users": self.said, "refusal": self.refusal, "backup": backup.read_bytes(),
                  **{f"answer {at}": page for at, page in enumerate(self.pages)},
                  **{f"alarm {at}": str(headers).encode() + body for at, (headers, body) in enumerate(Receiver.seen)}}
        with open(self.plant.folder / "bundle.zip", "wb") as opened:
            opened.write(self.bundle)
        with zipfile.ZipFile(self.plant.folder / "bundle.zip") as bundle:
            places |= {"bundle " + name: bundle.read(name) for name in bundle.namelist()}
        for path in out.rglob("*"):
            if path.is_file() and path.name not in ("station.key", "page.key") and not path.name.startswith("users.db"):
                places[str(path)] = path.read_bytes()
        places = {place: text if isinstance(text, bytes) else text.encode() for place, text in places.items()}
        self.assertGreater(len(places), 30)
        for known in (b"ines", b"R-1"):  # what is no secret is found in what was looked through
            self.assertTrue(any(known in text for text in places.values()), known)
        for place, text in places.items():
            for secret in secrets:
                self.assertNotIn(secret.encode(), text, place)


if __name__ == "__main__":
    if not (pathlib.Path(BUILD) / "quietpass").exists():
        sys.exit("service_test: build first")
    unittest.main(argv=sys.argv[:1], verbosity=2)
