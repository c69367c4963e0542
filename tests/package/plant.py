"""A whole station for tests: a made shift played as the microphone and as Modbus contacts into the real daemon."""
import os
import pathlib
import queue
import re
import shutil
import subprocess
import tempfile
import threading

TREE = pathlib.Path(__file__).resolve().parents[2]
SPEED = 8


class Lines:
    """Lines of a process, as they come; waited for with an end."""

    def __init__(self, stream):
        self.text = ""
        self.coming = queue.Queue()
        threading.Thread(target=self.read, args=(stream,), daemon=True).start()

    def read(self, stream):
        for line in stream:
            self.coming.put(line)
        self.coming.put(None)

    def wait_for(self, pattern, within_s=60):
        while True:
            line = self.coming.get(timeout=within_s)
            if line is None:
                raise AssertionError(f"ended before {pattern}: {self.text[-2000:]}")
            self.text += line
            if found := re.search(pattern, line):
                return found

    def rest(self):
        while (line := self.coming.get(timeout=120)) is not None:
            self.text += line
        return self.text


class Plant:
    """Makes the folder and starts the contacts. `daemon(…)` starts `quietpass run`; `with` ends what is left."""

    def __init__(self, build, more=""):
        self.build = pathlib.Path(build)
        self.quietpass = str(self.build / "quietpass")
        self.folder = pathlib.Path(tempfile.mkdtemp(prefix="quietpass-package-"))
        self.state = self.folder / "state"  # what the daemon, and the microphone in it, may write to
        self.out = self.state / "records"
        self.out.mkdir(mode=0o700, parents=True)
        self.shift = self.build / "shifts" / "short"
        started = self.state / "started"
        conf = self.folder / "asound.conf"
        subprocess.run(
            [TREE / "tests/capture/make_asound_conf", "--plugin", self.build / "libquietpass_test_microphone.so",
             "--wav", self.shift / "audio.wav", "--speed", str(SPEED), "--started-file", started, "--out", conf],
            check=True)
        station = TREE / "testdata/demo/station.toml"
        self.contacts = subprocess.Popen(
            [self.build / "modbus-contacts", "--station", station, "--contacts", self.shift / "contacts.csv",
             "--port", "0", "--started-file", started, "--linger", "600"], stdout=subprocess.PIPE, text=True)
        port = Lines(self.contacts.stdout).wait_for(r"127\.0\.0\.1:(\d+)")[1]
        self.station = self.folder / "station.toml"
        self.station.write_text(re.sub(r"127\.0\.0\.1:\d+", f"127.0.0.1:{port}", station.read_text()) + more)
        self.running = []
        self.environment = {
            **os.environ, "ALSA_CONFIG_PATH": str(conf), "JACK_NO_START_SERVER": "1",
            "QUIETPASS_PROFILES": str(TREE / "classifiers/profiles"), "QUIETPASS_PAGE": str(self.build / "page")}

    def __enter__(self):
        return self

    def __exit__(self, *_):
        for process in [*self.running, self.contacts]:
            if process.poll() is None:
                process.kill()
            process.wait()
        shutil.rmtree(self.folder, ignore_errors=True)

    def whole_s(self):
        """Seconds of the shift; 48 kHz, 16 bit, one channel."""
        return ((self.shift / "audio.wav").stat().st_size - 44) / 96000

    def give_to(self, user):
        """All of it belongs to another user: only root can."""
        for path in [self.folder, *self.folder.rglob("*")]:
            os.chown(path, user, user)

    def daemon(self, *, before=(), words=(), environment=None):
        process = subprocess.Popen(
            [*before, self.quietpass, "run", "--station", self.station, "--out", self.out, "--speed", str(SPEED), *words],
            env={**self.environment, **(environment or {})}, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
        self.running.append(process)
        return process

    def run(self, *words, text="", code=0):
        done = subprocess.run([self.quietpass, *words], input=text, capture_output=True, text=True, timeout=120,
                              env=self.environment)
        assert done.returncode == code, f"{words}: {done.returncode} {done.stderr}"
        return done.stdout + done.stderr
