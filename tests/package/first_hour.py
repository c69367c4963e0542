"""Walks through deploy/first-hour.md in a root: each command of its blocks is typed as it stands.

Usage: first_hour.py ROOT BUILD PACKAGE      (tests/package/in_fresh_root calls it)

A root without an init has no sudo, systemctl, journalctl and no editor; small programs stand in for them, and systemctl
runs what the installed unit says in ExecStart. The microphone is ALSA's device `default`, which plays a made shift, or a
calibrator's tone while one is on it.
"""
import math
import pathlib
import re
import shutil
import struct
import subprocess
import sys
import time
import wave

from first_hour_contacts import PORT, Contacts

ROOT, BUILD, PACKAGE = pathlib.Path(sys.argv[1]), pathlib.Path(sys.argv[2]), sys.argv[3]
TREE = pathlib.Path(__file__).resolve().parents[2]
PASSWORD = "even light and quiet gates"
SHIMS = {
    "sudo": '#!/bin/sh\nif [ "$1" = -u ]; then user=$2; shift 2; exec runuser -u "$user" -- "$@"; fi\nexec "$@"\n',
    "nano": '#!/bin/sh\n# what a person would change in the example\ncp /srv/station.toml "$1"\n',
    "journalctl": "#!/bin/sh\ncat /var/log/quietpass-walk.log\n",
    "systemctl": r"""#!/bin/bash
stop() { [ -e /run/walk.pid ] || return 0; pid=$(cat /run/walk.pid); kill "$pid" 2>/dev/null
  for _ in $(seq 300); do [ -e /proc/$pid ] || break; sleep 0.1; done; rm -f /run/walk.pid; }
start() { unit=/usr/lib/systemd/system/quietpass.service
  [ -e "$(sed -n 's/^ConditionPathExists=//p' $unit)" ] || return 0
  install -d -o quietpass -g quietpass -m 700 /var/lib/quietpass/station
  setsid runuser -u quietpass -- sh -c "umask 077; echo \$\$ >&3; exec 3>&-; exec $(sed -n 's/^ExecStart=//p' $unit)" \
    3>/run/walk.pid >>/var/log/quietpass-walk.log 2>&1 </dev/null &
  for _ in $(seq 300); do grep -q listens /var/log/quietpass-walk.log 2>/dev/null && return 0; sleep 0.1; done; return 1; }
case "$1" in
  start) start ;; stop) stop ;; restart) stop; start ;;
  status) pid=$(cat /run/walk.pid) && [ -e "/proc/$pid" ] && echo "Active: active (running)" ;;
esac
""",
}


def commands():
    """Lines of the guide's blocks, in order."""
    text = (TREE / "deploy/first-hour.md").read_text(encoding="utf-8")
    for block in re.findall(r"^```\n(.*?)^```", text, re.M | re.S):
        yield from block.splitlines()


def inside(command, text=""):
    return subprocess.run(
        ["chroot", ROOT, "/usr/bin/env", "-i", "PATH=/usr/local/sbin:/usr/local/bin:/usr/sbin:/usr/bin", "HOME=/srv",
         "LANG=C.UTF-8", "JACK_NO_START_SERVER=1", "DEBIAN_FRONTEND=noninteractive", "bash", "-c", f"cd /srv && {command}"],
        input=text, capture_output=True, text=True, timeout=900)


def microphone(sound):
    """What the device `default` of the root plays."""
    conf = ROOT / "etc/asound.conf"
    walk = ROOT / "opt/walk"
    subprocess.run([TREE / "tests/capture/make_asound_conf", "--plugin", walk / "microphone.so", "--wav", walk / sound, "--at-end",
                    "loop", "--started-file", ROOT / "tmp/started", "--out", conf], check=True)
    # Beside what /usr/share/alsa has.
    conf.write_text(conf.read_text().replace(f"{ROOT}/", "/").replace("pcm.default", "pcm.!default"))


def prepare():
    for name, text in SHIMS.items():
        file = ROOT / "usr/local/bin" / name
        file.write_text(text)
        file.chmod(0o755)
    walk = ROOT / "opt/walk"
    walk.mkdir(parents=True, exist_ok=True)
    shutil.copy(BUILD / "libquietpass_test_microphone.so", walk / "microphone.so")
    shutil.copy(BUILD / "shifts/short/audio.wav", walk / "shift.wav")
    with wave.open(str(walk / "tone.wav"), "wb") as tone:
        tone.setnchannels(1)
        tone.setsampwidth(2)
        tone.setframerate(48000)
        tone.writeframes(b"".join(struct.pack("<h", round(9000 * math.sin(2 * math.pi * 1000 * i / 48000))) for i in range(48000 * 10)))
    example = (TREE / "deploy/stations/box.toml").read_text()
    example = re.sub(r'\[\[microphone\]\]\nname = "race".*?\n\n', "\n", example, flags=re.S)
    example = example.replace('device = "hw:CARD=HEAD"', 'device = "default"').replace("192.0.2.10/", f"127.0.0.1:{PORT}/")
    example = example.replace('basis = "which guide, which edition, which number: yours"', 'basis = "a walk through the guide"')
    (ROOT / "srv/station.toml").write_text(example + '\n[[delivery]]\nkind = "command"\nname = "lamp"\nprogram = "/bin/true"\n')
    media = ROOT / "media/where-the-plant-keeps-its-keys"
    media.mkdir(parents=True, exist_ok=True)
    (ROOT / "var/log/quietpass-walk.log").unlink(missing_ok=True)
    for old in ("var/lib/quietpass", "etc/quietpass"):
        shutil.rmtree(ROOT / old, ignore_errors=True)


def main():
    prepare()
    contacts = Contacts(ROOT, BUILD)
    bad = 0
    microphone("shift.wav")
    began = time.monotonic()
    try:
        for line in commands():
            line = line.replace("quietpass_0.1.0-1_amd64.deb", PACKAGE)
            if "calibrate" in line:
                microphone("tone.wav")
            if re.search(r"quietpass (check|run)|systemctl (re)?start", line):
                microphone("shift.wav")
                contacts.begin()
            if line.startswith("sudo -u quietpass quietpass passages"):
                time.sleep(100)  # a person watches animals go through: the made shift is 99 s long
            done = inside(line, f"{PASSWORD}\n" if "users add" in line else "")
            said = (done.stdout + done.stderr).rstrip()
            shown = "\n".join(said.splitlines()[-12:])
            # `check` says 1 where a person should act; on a bare root without mail and people there is something.
            good = done.returncode == 0 or ("quietpass check" in line and done.returncode == 1)
            print(f"{'good' if good else 'BAD '}  $ {line}\n{shown}", flush=True)
            bad += not good
        figures = inside("runuser -u quietpass -- quietpass verify --out /var/lib/quietpass/station")
        pdf = ROOT / "srv/shift.pdf"
        whole = pdf.exists() and pdf.read_bytes().startswith(b"%PDF") and figures.returncode == 0
        print(f"{'good' if whole else 'BAD '}  the first shift is signed and its report is a PDF")
        bad += not whole
    finally:
        inside("systemctl stop quietpass")
        contacts.end()
    print(f"{bad} bad; {time.monotonic() - began:.0f} s")
    sys.exit(1 if bad else 0)


main()
