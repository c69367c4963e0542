// A case from the complaint to its receiver, as people do it: the real program, then what the receiver has:
// Python, sha256sum and the verifier that came with the bundle.

#include <catch2/catch.hpp>
#include <cstdlib>
#include <filesystem>
#include <string>

#include "daemon/bundles/zip_file.h"
#include "tests/bundles/case_plant.h"
#include "tests/end_to_end/program.h"

using namespace quietpass;
using namespace quietpass::test;

namespace {

struct Desk {
    CasePlant plant;

    Outcome run(std::vector<std::string> words, bool with_out = true) const {
        words.insert(words.begin(), quietpass_program());
        if (with_out) words.insert(words.end(), {"--out", plant.folder.path().string()});
        return run_program(words);
    }

    std::string out(const std::vector<std::string>& words, bool with_out = true) const {
        const Outcome outcome = run(words, with_out);
        INFO(outcome.err);
        REQUIRE(outcome.exit_code == 0);
        CHECK(outcome.err.empty());
        return outcome.out;
    }

    std::string zip(const std::string& name) const { return plant.folder.path(name); }

    // As its receiver unpacks it.
    std::filesystem::path unpacked(const std::string& name) const {
        const std::filesystem::path into = plant.folder / ("unpacked-" + name);
        const Outcome unzip =
            run_program({"/usr/bin/env", "python3", "-c",
                         "import sys, zipfile; z = zipfile.ZipFile(sys.argv[1]); assert z.testzip() is None; "
                         "z.extractall(sys.argv[2])",
                         zip(name), into.string()});
        INFO(unzip.err);
        REQUIRE(unzip.exit_code == 0);
        return into;
    }
};

bool contains(const std::string& text, const std::string& words) {
    return text.find(words) != std::string::npos;
}

std::string refused(const Outcome& outcome, int exit_code) {
    CHECK(outcome.exit_code == exit_code);
    CHECK(lines_of(outcome.err).size() == 1);
    return outcome.err;
}

bool python_has_ed25519() {
    return run_program({"/usr/bin/env", "python3", "-c", "import cryptography"}).exit_code == 0;
}

} // namespace

TEST_CASE("A case is opened, gathered and handed over, and its receiver can check it without us") {
    Desk desk;
    desk.out({"case", "open", "--reference", "C-8", "--asked-by", "an authority", "--from",
              "2026-03-02 06:00", "--to", "2026-03-02 06:02", "--by", "B. Lead"});
    CHECK(contains(desk.out({"case", "gather", "2", "--calling", "--by", "B. Lead"}), "2 clips added"));
    desk.out({"finding", "add", "--shift", "1", "--call", "2", "--verdict", "call", "--just-before", "prod",
              "--by", "A. Reviewer"});
    const std::string said = desk.out({"export", "2", "--to", desk.zip("c.zip"), "--by", "B. Lead"});
    CHECK(contains(said, "2 clips (masked)"));
    CHECK_FALSE(contains(said, "not signed"));
    CHECK(contains(desk.out({"case", "show", "2"}), "exported 1 times"));

    const std::filesystem::path folder = desk.unpacked("c.zip");
    CHECK(run_program(
              {"/usr/bin/env", "sh", "-c", "cd " + folder.string() + " && sha256sum -c --strict SHA256SUMS"})
              .exit_code == 0);
    CHECK(text_of(folder / "verify_ledger.py") == text_of(QUIETPASS_VERIFIER));
    CHECK(contains(text_of(folder / "findings.csv"), "prod"));
    CHECK(contains(text_of(folder / "shifts/1/amendment-1.json"), "\"reviewed\""));
    CHECK(contains(text_of(folder / "README.txt"), "Case:      2, reference C-8"));
    const std::string sums = sha256_hex(text_of(folder / "SHA256SUMS"));
    bool on_record = false;
    for (const auto& part : std::filesystem::directory_iterator(folder / "ledger")) {
        on_record = on_record || contains(text_of(part.path()), "SHA256SUMS " + sums);
        if (!python_has_ed25519()) {
            WARN("python3-cryptography is not installed: signatures are not checked");
            continue;
        }
        const std::string key = lines_of(text_of(folder / "station-key.txt")).at(1);
        const Outcome verified = run_program(
            {"/usr/bin/env", "python3", (folder / "verify_ledger.py").string(), part.path().string(), key});
        INFO(verified.out << verified.err);
        CHECK(verified.exit_code == 0);
    }
    CHECK(on_record);
}

TEST_CASE("Unmasked needs a reason, and the access is on record with it") {
    Desk desk;
    CHECK(contains(
        refused(desk.run({"export", "1", "--to", desk.zip("c.zip"), "--by", "B. Lead", "--unmasked"}), 2),
        "--reason"));
    CHECK_FALSE(std::filesystem::exists(desk.zip("c.zip")));
    CHECK(contains(desk.out({"export", "1", "--to", desk.zip("c.zip"), "--by", "B. Lead", "--unmasked",
                             "--reason", "court order 12"}),
                   "NOT MASKED"));
    std::string detail;
    desk.plant.store().read([&](SQLite::Database& database) {
        detail =
            database.execAndGet("SELECT who || ' ' || detail FROM accesses WHERE what = 'unmasked_export'")
                .getString();
    });
    CHECK(contains(detail, "B. Lead"));
    CHECK(contains(detail, "court order 12"));
}

TEST_CASE("verify --bundle says what a bundle is, and names what was altered in it") {
    Desk desk;
    desk.out({"export", "1", "--to", desk.zip("c.zip"), "--by", "B. Lead"});
    const std::string key = StationKey::load(desk.plant.key_file()).public_key();
    const std::string good = desk.out({"verify", "--bundle", desk.zip("c.zip")}, false);
    CHECK(contains(good, "case 1, exported"));
    CHECK(contains(good, "all of it"));
    CHECK(desk.run({"verify", "--bundle", desk.zip("c.zip"), "--public-key", key}, false).exit_code == 0);
    CHECK(contains(
        refused(
            desk.run({"verify", "--bundle", desk.zip("c.zip"), "--public-key", std::string(64, '1')}, false),
            1),
        "c.zip"));
    auto files = files_of_zip(desk.zip("c.zip"));
    files["shifts/1/passages.csv"] += "x";
    std::vector<NamedBytes> list;
    for (const auto& [name, bytes] : files) list.push_back({name, bytes});
    desk.plant.folder.write("bad.zip", zip_of(list));
    CHECK(contains(refused(desk.run({"verify", "--bundle", desk.zip("bad.zip")}, false), 1),
                   "shifts/1/passages.csv was altered"));
    desk.plant.folder.write("words.zip", "no bundle");
    CHECK(contains(refused(desk.run({"verify", "--bundle", desk.zip("words.zip")}, false), 1), "words.zip"));
}
