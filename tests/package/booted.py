"""The service under a real systemd: the root is booted as a container, and the service started, told to read its settings
anew, killed, halted and stopped.

Usage: booted.py ROOT BUILD      (tests/package/in_fresh_root calls it after the walk, where systemd-nspawn is there)

No network, hardware or kernel of its own; what the unit forbids is in force. Device files of sound cards aren't tried.
"""
import pathlib
import subprocess
import sys
import time

from first_hour_contacts import Contacts

ROOT, BUILD = pathlib.Path(sys.argv[1]), pathlib.Path(sys.argv[2])
bad = 0


def say(good, what):
    global bad
    bad += not good
    print(f"{'good' if good else 'BAD '}  {what}", flush=True)


def until(what, within_s):
    began = time.monotonic()
    while not what():
        if time.monotonic() - began > within_s:
            return None
        time.sleep(0.2)
    return time.monotonic() - began


def main():
    contacts = Contacts(ROOT, BUILD)
    contacts.begin(on_connection=True)
    nspawn = subprocess.Popen(
        ["systemd-nspawn", "-D", ROOT, "--register=no", "--keep-unit", "--resolv-conf=off", "--timezone=off",
         "/lib/systemd/systemd"], stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)

    def first_process():
        children = pathlib.Path(f"/proc/{nspawn.pid}/task/{nspawn.pid}/children").read_text().split()
        return children[0] if children else None

    def inside(*words):
        return subprocess.run(["nsenter", "-t", first_process(), "-m", "-u", "-i", "-p", "--", "env", "-i", "PATH=/usr/bin:/usr/sbin",
                               *words], capture_output=True, text=True)

    def shown(what):
        return inside("/usr/bin/systemctl", "show", "-p", what, "--value", "quietpass").stdout.strip()

    def runs():
        return shown("ActiveState") == "active"

    def another(than):
        return until(lambda: runs() and shown("MainPID") not in ("0", than), 200)

    def logged(words):
        return words in inside("/usr/bin/journalctl", "-u", "quietpass", "-o", "cat", "--no-pager").stdout

    try:
        until(first_process, 20)
        took = until(runs, 60)
        say(took is not None, f"the service is active after {took or 0:.1f} s: sound goes through it")
        status = inside("cat", f"/proc/{shown('MainPID')}/status").stdout
        for line in ("CapEff:\t0000000000000000", "CapBnd:\t0000000000000000", "NoNewPrivs:\t1", "Seccomp:\t2"):
            say(line in status, line)
        mounts = inside("cat", f"/proc/{shown('MainPID')}/mounts").stdout
        say(any(line.split()[1] == "/" and line.split()[3].startswith("ro") for line in mounts.splitlines()), "its file system is read-only")
        say(any(line.split()[1] == "/tmp" for line in mounts.splitlines()), "its /tmp is its own")
        reloaded = inside("/usr/bin/systemctl", "reload", "quietpass").returncode == 0
        say(reloaded and until(lambda: logged("settings anew"), 30) is not None and runs(), "it reads its settings anew")
        for signal, words in (("KILL", "killed"), ("STOP", "halted: the watchdog finds it")):
            process = shown("MainPID")
            inside("kill", f"-{signal}", process)
            took = another(process)
            say(took is not None, f"{words}, it is active again after {took or 0:.0f} s")
        began = time.monotonic()
        stopped = inside("/usr/bin/systemctl", "stop", "quietpass").returncode == 0 and shown("Result") == "success"
        say(stopped, f"it stops in order, in {time.monotonic() - began:.1f} s")
        verified = inside("runuser", "-u", "quietpass", "--", "quietpass", "verify", "--out", "/var/lib/quietpass/station")
        say(verified.returncode == 0, "its records fit and are signed: " + " ".join(verified.stdout.splitlines()[1:3]))
    finally:
        contacts.end()
        nspawn.terminate()
        nspawn.wait(timeout=60)
    sys.exit(1 if bad else 0)


main()
