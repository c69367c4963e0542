#include "daemon/bundles/bundle_readme.h"

namespace quietpass {

namespace {

constexpr const char* kContents = R"(
WHAT IS IN IT
  case.json             the case: who asked, what was done and decided, step by step
  clips/clip-N.flac     sound; any player for FLAC plays it
  clips/clip-N.png      its picture: frequency over time, the calls marked
  clips.csv             which call, passage and moment each clip is of
  shifts/N/shift.json   the shift's figures as they were closed
  shifts/N/report.pdf   the same, a page to read, with its signature as a code
  shifts/N/amendment-*  what people's findings made of them later; both figures
                        side by side. A shift record itself is never altered
  shifts/N/passages.csv the animals' passages of the case, one a line
  shifts/N/calls.csv    the calls in them
  shifts/N/contacts.csv what the restrainer's contacts did around them
  findings.csv          what people found on hearing the calls
  ledger/part-*.tsv     the records themselves, each chained to the one before it
  station-key.txt       the station's public key
  SHA256SUMS            the SHA-256 of every file but itself and the ledger's
  verify_ledger.py      checks the ledger without our program
Times ending in _s are seconds from the start of the station's recording; UTC
where it says so. In CSV files yes is 1 and no is 0.
)";

constexpr const char* kChecking = R"(
HOW TO CHECK IT
1. That no file was altered: unpack it and run
       sha256sum -c SHA256SUMS
2. That the list itself is the one that was handed over: the record of the
   export, kind "accesses" in the last part of the ledger, has its SHA-256:
       sha256sum SHA256SUMS
       grep '"kind":"accesses"' ledger/part-*.tsv
   It also says which records the case stands on ("records 3-41,60"): each of
   them is in one of the parts.
3. That the records were not altered, dropped or added to: each line's hash is
   the SHA-256 of the hash before it, a line feed, the line, a line feed. One is
       printf '%s\n%s\n' HASH_BEFORE LINE | sha256sum
   all of them are
       python3 verify_ledger.py ledger/part-1.tsv
   (and so on for each part). It checks the signatures too, so Python needs an
   Ed25519 implementation (Debian: python3-cryptography).
4. That the key is the station's: compare station-key.txt with the key that the
   plant gave you another way, not with anything that came with this bundle.
   With it:  python3 verify_ledger.py ledger/part-1.tsv PUBLIC_KEY
With the program itself: quietpass verify --bundle FILE.zip
)";

constexpr const char* kCautions = R"(
WHAT IT DOES NOT SAY
- It counts and times what was heard. It names no cause. Phases, contacts and
  findings say what happened, not why.
- A signature shows that records were not altered since they were written. It
  shows nothing of where the microphone hung or what it could hear; coverage and
  exclusions in shift.json belong to every percentage.
- Silence proves neither good welfare nor unconsciousness. A call is one sign
  among others; a trained person checks each animal.
- The ledger's parts hold every record between the first and the last concerned,
  so also records that are not of the case. Treat names in them, and voices in
  clips, as personal data: local law says who may have them and how long.
)";

std::string or_dash(const std::string& text) {
    return text.empty() ? "-" : text;
}

std::string masking(const BundleFacts& facts) {
    if (!facts.masked) {
        return "NOT MASKED: the clips are as they were recorded, speech among it. Reason given:\n" +
               facts.reason + "\n";
    }
    return "The clips are masked: all outside the calls is noise of the same level, so that\n"
           "nothing that people said there can be understood. The calls are as they were\n"
           "recorded, bit for bit. Speech over a call could not be masked. What a person\n"
           "found to be a human voice is masked too (masked_calls in clips.csv).\n"
           "recorded_sha256 in clips.csv is of the clip as it was recorded; the plant has\n"
           "that one as long as a case holds it.\n";
}

std::string signing(const BundleFacts& facts) {
    if (facts.key_id.empty()) {
        return "NOT SIGNED: the station's key was not at hand, so no signature vouches for this\n"
               "bundle as a whole. Parts of the ledger that end at an earlier signed head are.\n";
    }
    return "Signed by the station's key " + facts.key_id + ".\n";
}

} // namespace

std::string bundle_readme(const BundleFacts& facts) {
    std::string out = "quietpass: a case, handed over\n==============================\n\n";
    out +=
        "Case:      " + std::to_string(facts.file.id) + ", reference " + or_dash(facts.file.reference) + "\n";
    out += "Asked by:  " + or_dash(facts.file.asked_by) + "\n";
    out += "Station:   " + or_dash(facts.station) + "\n";
    out += "Made:      " + facts.exported + " (UTC) by " + facts.by + "\n";
    out += "Clips:     " + std::to_string(facts.clips) + "\n\n";
    out +=
        "quietpass listens at an animal restrainer, counts the animals that cry out and\n"
        "keeps the records of it.\n\n";
    out += masking(facts) + "\n" + signing(facts);
    if (!facts.absent.empty()) {
        out += "\nNot in it:\n";
        for (const std::string& line : facts.absent) out += "- " + line + "\n";
    }
    return out + kContents + kChecking + kCautions;
}

} // namespace quietpass
