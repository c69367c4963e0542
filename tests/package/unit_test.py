"""The units as they are installed: systemd takes each line of them, and thinks them safe enough.

Usage: unit_test.py FOLDER_OF_UNITS PROGRAM
"""
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile
import unittest

FOLDER, PROGRAM = pathlib.Path(sys.argv[1]), sys.argv[2]
UNITS = {"quietpass.service": "quietpass.service", "quietpass@.service": "quietpass@box.service"}
MOST_EXPOSURE = 2.0


def systemd(*words):
    return subprocess.run(["systemd-analyze", *words], capture_output=True, text=True, timeout=120)


class Units(unittest.TestCase):
    def setUp(self):
        self.folder = tempfile.TemporaryDirectory()
        self.addCleanup(self.folder.cleanup)

    def unit(self, name, changed=lambda text: text):
        """The unit with the program that was just built in place of the installed one, which isn't there yet."""
        text, count = re.subn(r"^ExecStart=\S+/quietpass ", f"ExecStart={PROGRAM} ", (FOLDER / name).read_text(), flags=re.M)
        self.assertEqual(count, 1)
        file = pathlib.Path(self.folder.name) / name
        file.write_text(changed(text))
        return file.with_name(UNITS[name]) if "@" in name else file

    def verify(self, file):
        done = systemd("verify", "--man=no", "--recursive-errors=no", str(file))
        return done.returncode, done.stdout + done.stderr

    def test_systemd_understands_each_line(self):
        for name in UNITS:
            code, said = self.verify(self.unit(name))
            self.assertEqual((code, said.strip()), (0, ""), name)

    def test_it_would_say_what_it_does_not_understand(self):
        _, said = self.verify(self.unit("quietpass.service", lambda text: text.replace("[Service]", "[Service]\nWatchdog=90")))
        self.assertIn("Watchdog", said)

    def test_its_exposure_is_2_or_less(self):
        for name in UNITS:
            done = systemd("security", "--offline=true", "--no-pager", str(self.unit(name)))
            exposure = float(re.search(r"Overall exposure level for \S+: ([0-9.]+)", done.stdout)[1])
            print(f"{name}: exposure {exposure}")
            self.assertLessEqual(exposure, MOST_EXPOSURE)

    def test_it_starts_only_with_a_station_file_waits_for_samples_and_is_tried_for_ever(self):
        text = (FOLDER / "quietpass.service").read_text()
        for line in ("ConditionPathExists=/etc/quietpass/station.toml", "Type=notify", "WatchdogSec=90", "Restart=on-failure",
                     "StartLimitIntervalSec=0", "ExecReload=/bin/kill -HUP $MAINPID", "User=quietpass",
                     "NoNewPrivileges=yes", "ProtectSystem=strict", "DevicePolicy=closed", "UMask=0077"):
            self.assertIn("\n" + line + "\n", text)


if __name__ == "__main__":
    if not shutil.which("systemd-analyze"):
        print("no systemd-analyze here: units were not looked at")
        sys.exit(77)
    unittest.main(argv=sys.argv[:1], verbosity=2)
