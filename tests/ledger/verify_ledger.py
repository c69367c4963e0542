#!/usr/bin/env python3
"""Checks a ledger.tsv of quietpass without quietpass: Python's standard library and an Ed25519
implementation (Debian: python3-cryptography). daemon/ledger/FORMATS.md says what is checked and why.

Usage: verify_ledger.py LEDGER.tsv [PUBLIC_KEY_HEX]
Exit 0: every record fits. With PUBLIC_KEY_HEX a head must also be signed by that key, or by one that it
vouches for. Exit 1: the first record that doesn't fit is named."""
import hashlib
import json
import sys

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey


def key_id(public):
    return hashlib.sha256(bytes.fromhex(public)).hexdigest()[:16]


def is_signed(public, text, signature):
    try:
        Ed25519PublicKey.from_public_bytes(bytes.fromhex(public)).verify(bytes.fromhex(signature), text.encode())
        return True
    except (InvalidSignature, ValueError):
        return False


def fail(seq, why):
    print(f"record {seq}: {why}")
    sys.exit(1)


def main(path, wanted):
    keys, trusted, signed_to, previous, last = [], False, 0, None, None
    with open(path, "rb") as file:
        if file.readline() != b"# quietpass ledger 1\n":
            fail(0, "the file doesn't begin as a ledger file does")
        for text in file:
            # What was before the first record is said before it, once, and nowhere else.
            if text.startswith(b"# previous ") and previous is None:
                previous = text.split()[2].decode()
                continue
            if text.startswith(b"# key ") and last is None and not keys:
                keys.append(text.split()[2].decode())
                trusted = wanted in ("", keys[-1])
                continue
            if text.startswith(b"#") or previous is None:
                fail(0 if last is None else last + 1, f"{text[:20]!r} is no record")
            number, hash_hex, line = text.rstrip(b"\n").split(b"\t")
            seq, hash_hex = int(number), hash_hex.decode()
            if last is not None and seq != last + 1:
                fail(last + 1, f"record {seq} stands in its place")
            if seq == 1 and previous != "0" * 64:
                fail(1, "nothing is before record 1")
            if hashlib.sha256(previous.encode() + b"\n" + line + b"\n").hexdigest() != hash_hex:
                fail(seq, "its hash is not that of its line and the record before it")
            record = json.loads(line.decode("utf-8", "replace"))
            if record["seq"] != seq:
                fail(seq, "its line has another number")
            if record["kind"] == "keys":
                vouched, public = False, record["public_key"]
                if record["key_id"] != key_id(public) or record.get("replaces") != (key_id(keys[-1]) if keys else None):
                    fail(seq, "the key doesn't replace the one in force")
                if "proof" in record:
                    proof = f"quietpass key 1\n{public}\n{record['since_utc_ns']}\n"
                    vouched = bool(keys) and is_signed(keys[-1], proof, record["proof"])
                    if not vouched:
                        fail(seq, "the key before it doesn't vouch for this one")
                keys.append(public)
                trusted = wanted in ("", public) or (trusted and vouched)
            if record["kind"] == "heads":
                head = f"quietpass head 1\n{record['of_seq']}\n{record['hash']}\n{record['utc_ns']}\n"
                if record["of_seq"] != seq - 1 or record["hash"] != previous:
                    fail(seq, "it is not the head of the record before it")
                if not keys or record["key_id"] != key_id(keys[-1]) or not is_signed(keys[-1], head, record["signature"]):
                    fail(seq, "it is not signed by the key in force")
                signed_to = seq - 1 if trusted else signed_to
            previous, last = hash_hex, seq
    if wanted and not signed_to:
        fail(last or 0, "no head is signed by the key given")
    print(f"{last or 0} last record, signed up to {signed_to}, keys: {' '.join(map(key_id, keys))}")


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2] if len(sys.argv) > 2 else "")
