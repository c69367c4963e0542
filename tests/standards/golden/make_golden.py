#!/usr/bin/env python3
"""Makes the golden values that spectral_golden.cpp, pitch_golden.cpp compare with. Run in this folder:

    /usr/bin/python3 make_golden.py

Needs numpy, scipy, praat and sox (Debian packages python3-scipy, praat, sox); their versions stand in the first line of each file
that this writes. The synthetic signals are formulas, written again in C++ in golden_signals.cpp; the recordings are in
testdata/recordings. Nothing here shares code with the project.
"""
import os
import platform
import subprocess
import tempfile

import numpy as np
import scipy
import scipy.fft
import scipy.io.wavfile
import scipy.signal
import scipy.stats

RATE = 16000
SIZE = 1024
HOP = 256
BIN_HZ = RATE / SIZE
FIRST, LAST = 4, 512  # bins of the measures, 62.5 … 8000 Hz
RECORDINGS = [  # file, from, to (s): labelled calls, testdata/labels/calls.tsv; whole files where none are labelled
    ("cattle/ESC-50-16k__1-81269-A-3.flac", 0.03, 1.95),
    ("cattle/ESC-50-16k__1-202111-A-3.flac", 0.0, 5.0),
    ("cattle/ESC-50-16k__2-104877-A-3.flac", 0.02, 1.45),
    ("cattle/ESC-50-16k__2-117795-A-3.flac", 0.55, 2.40),
    ("cattle/ESC-50-16k__2-117795-B-3.flac", 2.00, 4.60),
    ("cattle/ESC-50-16k__3-160993-A-3.flac", 2.30, 4.75),
    ("cattle/ESC-50-16k__3-163727-A-3.flac", 0.0, 5.0),
    ("cattle/AntumMT-mod-sounds__sounds_cow_moo_01.flac", 0.0, 2.0),
    ("cattle/AntumMT-mod-sounds__sounds_cow_moo_02.flac", 0.60, 2.34),
    ("cattle/mineclone-alpha__mobs_mc_cow.flac", 0.0, 1.7),
    ("cattle/openttd-opensfx__37_Cow._Original_Cow_-_Moan_2_-_96kHz.wav_by_Jarred_Gib._E.flac", 0.0, 1.48),
    ("pig_squeal/ESC-50-16k__1-260640-A-2.flac", 0.0, 5.0),
    ("pig_squeal/ESC-50-16k__1-260640-B-2.flac", 1.45, 2.65),
    ("pig_squeal/ESC-50-16k__1-260640-C-2.flac", 0.65, 4.9),
    ("pig_squeal/ESC-50-16k__3-233151-A-2.flac", 0.0, 5.0),
    ("pig_squeal/mineclone-alpha__mobs_pig_death.flac", 0.0, 0.52),
]


SPECTRAL_RECORDINGS = [  # file, at (s): two frames from there
    ("cattle/ESC-50-16k__1-81269-A-3.flac", 1.0),
    ("cattle/ESC-50-16k__2-117795-A-3.flac", 1.5),
    ("cattle/ESC-50-16k__3-160993-A-3.flac", 3.5),
    ("pig_squeal/ESC-50-16k__1-260640-C-2.flac", 1.5),
    ("pig_squeal/ESC-50-16k__3-233151-A-2.flac", 0.5),
    ("pig_grunt/ESC-50-16k__2-158746-C-2.flac", 1.0),
    ("saw/ESC-50-16k__1-116765-A-41.flac", 1.0),
]


def lcg_noise(count):
    """Uniform −1 … 1: x ← 1664525·x + 1013904223 mod 2³², from x = 1."""
    out = np.empty(count)
    x = 1
    for n in range(count):
        x = (1664525 * x + 1013904223) % 2**32
        out[n] = x / 2**31 - 1.0
    return out


def harmonics(f0, count, tilt=1.0, top_hz=7000.0):
    """f0: number or array of Hz. Σ sin(h·φ + h²) / h^tilt for h·f0 below top_hz, times 0.1."""
    f0 = np.broadcast_to(np.asarray(f0, dtype=float), count)
    phase = 2 * np.pi * np.cumsum(f0) / RATE
    out = np.zeros(count)
    h = 1
    while h * f0.max() < top_hz:
        out += np.sin(h * phase + h * h) / h**tilt
        h += 1
    return 0.1 * out


def spectral_signals():
    n = np.arange(SIZE + HOP)
    t = n / RATE
    noise = lcg_noise(len(n))
    return {
        "tone": 0.5 * np.sin(2 * np.pi * 1000.3 * t) + 0.001 * noise,
        "harmonics": harmonics(180.0, len(n)) + 0.0005 * noise,
        "noise": 0.3 * noise,
        "chirp": 0.4 * np.sin(2 * np.pi * (200.0 * t + 0.5 * 30000.0 * t * t)) + 0.001 * noise,
        "click": np.where(n >= 400, np.exp(-(n - 400.0) / 60.0), 0.0) * noise,
    }


def pitch_signals():
    n = np.arange(RATE)
    t = n / RATE
    noise = lcg_noise(len(n))
    moo = 110.0 + 60.0 * np.sin(np.pi * t)
    squeal = 1215.0 + 100.0 * np.sin(2 * np.pi * 3.0 * t)
    return {
        "low_call": harmonics(81.0, len(n)) + 0.003 * noise,
        "moo": harmonics(moo, len(n), 0.8) + 0.003 * noise,
        "calf": harmonics(143.0, len(n)) + 0.01 * noise,
        "noisy_moo": harmonics(moo, len(n)) + 0.05 * noise,
        "bugle": harmonics(958.0, len(n), 1.5) + 0.003 * noise,
        "squeal": harmonics(squeal, len(n), 0.7) + 0.01 * noise,
        "high_squeal": harmonics(2200.0, len(n), 0.7) + 0.03 * noise,
    }


def power_spectrum(frame):
    window = scipy.signal.get_window("hann", SIZE)
    return np.abs(scipy.fft.rfft(frame * window)) ** 2 / (window.sum() / 2) ** 2


def recorded(name, at_s, count):
    """Samples of a 16 kHz mono recording, as floats."""
    path = os.path.join("../../../testdata/recordings", name)
    raw = subprocess.run(["sox", path, "-t", "f32", "-"], check=True, capture_output=True).stdout
    first = round(at_s * RATE)
    return np.frombuffer(raw, dtype="<f4")[first : first + count]


def mel_bands(power, count=40, low=50.0, high=8000.0):
    mel = lambda hz: 2595.0 * np.log10(1.0 + hz / 700.0)
    corners = 700.0 * (10.0 ** (np.linspace(mel(low), mel(high), count + 2) / 2595.0) - 1.0)
    hz = np.arange(len(power)) * BIN_HZ
    return np.array([power @ np.interp(hz, corners[b : b + 3], [0, 1, 0], left=0, right=0) for b in range(count)])


def spectral_rows():
    signals = spectral_signals()
    for name, at_s in SPECTRAL_RECORDINGS:
        signals[f"{name}@{at_s}"] = recorded(name, at_s, SIZE + HOP)
    for name, signal in signals.items():
        signal = signal.astype(np.float32).astype(float)
        first, second = power_spectrum(signal[:SIZE]), power_spectrum(signal[HOP : HOP + SIZE])
        p = second[FIRST : LAST + 1]
        hz = np.arange(FIRST, LAST + 1) * BIN_HZ
        centroid = np.average(hz, weights=p)
        yield name, "power", p.sum()
        yield name, "centroid_hz", centroid
        yield name, "bandwidth_hz", np.sqrt(np.average((hz - centroid) ** 2, weights=p))
        yield name, "rolloff_hz", hz[np.searchsorted(np.cumsum(p), 0.85 * p.sum())]
        yield name, "flatness", scipy.stats.gmean(p) / p.mean()
        yield name, "entropy", scipy.stats.entropy(p) / np.log(len(p))
        peak = int(np.argmax(p))
        yield name, "peak_share", p[peak] / p.sum()
        curve = np.polyfit([-1, 0, 1], np.log(second[FIRST + peak - 1 : FIRST + peak + 2]), 2)
        yield name, "peak_hz", (FIRST + peak - curve[1] / (2 * curve[0])) * BIN_HZ
        a, b = np.sqrt(p), np.sqrt(first[FIRST : LAST + 1])
        yield name, "flux", np.linalg.norm(a / np.linalg.norm(a) - b / np.linalg.norm(b))
        mfcc = scipy.fft.dct(np.log(np.maximum(mel_bands(second), 1e-10)), type=2, norm="ortho")
        for c in range(13):
            yield name, f"mfcc_{c}", mfcc[c]


PRAAT_SCRIPT = """
form Values
    sentence path
    positive begin 0.03
    positive finish 1
endform
sound = Read from file: path$
pitch = To Pitch (ac): 0.016, 50, 15, "no", 0.03, 0.45, 0.01, 0.35, 0.14, 2500
selectObject: sound
harmonicity = To Harmonicity (ac): 0.016, 50, 0.1, 3.0
k = 0
repeat
    time = (k * 256 + 512) / 16000
    if time >= begin and time <= finish
        selectObject: pitch
        f0 = Get value at time: time, "Hertz", "linear"
        selectObject: harmonicity
        hnr = Get value at time: time, "cubic"
        appendInfoLine: k, tab$, f0, tab$, hnr
    endif
    k = k + 1
until time > finish
"""


def praat_rows(path, start, end):
    with tempfile.TemporaryDirectory() as folder:
        script = os.path.join(folder, "values.praat")
        with open(script, "w") as file:
            file.write(PRAAT_SCRIPT)
        out = subprocess.run(["praat", "--run", script, path, str(max(start, 0.001)), str(end)], check=True,
                             capture_output=True, text=True).stdout
    for line in out.splitlines():
        k, f0, hnr = line.split("\t")
        if "undefined" in f0 or "undefined" in hnr:
            continue
        yield int(k), float(f0), float(hnr)


def versions():
    praat = subprocess.run(["praat", "--version"], capture_output=True, text=True).stdout.split("\n")[0].strip()
    return f"python {platform.python_version()}, numpy {np.__version__}, scipy {scipy.__version__}, {praat}"


def main():
    with open("spectral.csv", "w") as file:
        file.write(f"# make_golden.py with {versions()}\nsignal,measure,value\n")
        for name, measure, value in spectral_rows():
            file.write(f"{name},{measure},{value:.9g}\n")
    with open("pitch.csv", "w") as file:
        file.write(f"# make_golden.py with {versions()}\nsignal,frame,f0_hz,hnr_db\n")
        for name, signal in pitch_signals().items():
            with tempfile.TemporaryDirectory() as folder:
                path = os.path.join(folder, name + ".wav")
                scipy.io.wavfile.write(path, RATE, signal.astype(np.float32))
                for k, f0, hnr in praat_rows(path, 0.05, 0.95):
                    file.write(f"{name},{k},{f0:.3f},{hnr:.2f}\n")
        for name, start, end in RECORDINGS:
            path = os.path.abspath(os.path.join("../../../testdata/recordings", name))
            for k, f0, hnr in praat_rows(path, start, end):
                file.write(f"{name},{k},{f0:.3f},{hnr:.2f}\n")


if __name__ == "__main__":
    main()
