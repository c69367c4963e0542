"""The Modbus server of the walk and of the booted service: it plays the made shift's contacts, from their beginning each time."""
import pathlib
import subprocess

PORT = 15502
TREE = pathlib.Path(__file__).resolve().parents[2]


class Contacts:
    def __init__(self, root, build):
        self.started, self.build, self.process = root / "tmp/started", build, None

    def begin(self, on_connection=False):
        """In step with the microphone, or from the first connection on."""
        self.end()
        self.started.unlink(missing_ok=True)
        start = ["--start-on-connection"] if on_connection else ["--started-file", self.started]
        self.process = subprocess.Popen(
            [self.build / "modbus-contacts", "--station", TREE / "testdata/demo/station.toml", "--contacts",
             self.build / "shifts/short/contacts.csv", "--port", str(PORT), *start, "--wait-at-most", "600", "--linger", "3600"],
            stdout=subprocess.PIPE, text=True)
        self.process.stdout.readline()

    def end(self):
        if self.process:
            self.process.kill()
            self.process.wait()
