#include "daemon/bundles/export_case.h"

#include <SQLiteCpp/Statement.h>

#include <catch2/catch.hpp>
#include <sstream>

#include "daemon/bundles/bundle_check.h"
#include "daemon/bundles/verify_bundle.h"
#include "daemon/failure.h"
#include "daemon/ledger/ledger_file.h"
#include "daemon/review/enter_findings.h"
#include "tests/bundles/case_plant.h"

using namespace quietpass;

namespace {

using ZipFiles = std::map<std::string, std::string>;

struct Handed {
    Exported exported;
    std::filesystem::path zip;
    ZipFiles files;
};

ExportWish wish_of(CasePlant& plant, const std::string& name) {
    ExportWish wish;
    wish.case_id = plant.case_id;
    wish.folder = plant.folder.path();
    wish.key_file = plant.key_file();
    wish.to = plant.folder / name;
    wish.by = "B. Lead";
    return wish;
}

Handed hand_over(CasePlant& plant, const ExportWish& wish) {
    RealFiles files;
    Handed handed;
    handed.exported = export_case(plant.store(), files, plant.clock, wish);
    handed.zip = wish.to;
    handed.files = files_of_zip(wish.to);
    return handed;
}

ClipSound clip_in(const CasePlant& plant, const std::string& flac) {
    return read_clip(plant.folder.write("read.flac", flac));
}

// Of the first microphone: samples that are the same within and outside of a stretch.
std::pair<double, double> same_in_and_out(const ClipSound& a, const ClipSound& b, double from_s,
                                          double to_s) {
    double same[2] = {0.0, 0.0};
    double all[2] = {0.0, 0.0};
    for (std::size_t i = 0; i < a.frames(); ++i) {
        const double at_s = static_cast<double>(i) / a.rate_hz;
        const int inside = at_s >= from_s && at_s < to_s ? 0 : 1;
        ++all[inside];
        if (a.samples[2 * i] == b.samples[2 * i]) ++same[inside];
    }
    return {same[0] / all[0], same[1] / all[1]};
}

std::vector<std::string> accesses(CasePlant& plant) {
    std::vector<std::string> rows;
    plant.store().read([&](SQLite::Database& database) {
        SQLite::Statement query(database,
                                "SELECT what || ' of ' || subject || ' by ' || who || ': ' || detail "
                                "FROM accesses ORDER BY seq");
        while (query.executeStep()) rows.push_back(query.getColumn(0).getString());
    });
    return rows;
}

std::vector<NamedBytes> as_list(const ZipFiles& files) {
    std::vector<NamedBytes> list;
    for (const auto& [name, bytes] : files) list.push_back({name, bytes});
    return list;
}

std::string misfit_of(const CasePlant& plant, const ZipFiles& files) {
    return check_bundle(plant.folder.write("altered.zip", zip_of(as_list(files)))).misfit;
}

bool has(const std::string& text, const std::string& words) {
    return text.find(words) != std::string::npos;
}

} // namespace

TEST_CASE("A case is handed over as one file whose every byte a signed head vouches for") {
    CasePlant plant;
    const Handed handed = hand_over(plant, wish_of(plant, "case.zip"));
    for (const char* name : {"README.txt", "case.json", "clips.csv", "clips/clip-1.flac", "clips/clip-1.png",
                             "clips/clip-2.flac", "shifts/1/shift.json", "shifts/1/passages.csv",
                             "shifts/1/calls.csv", "shifts/1/contacts.csv", "findings.csv",
                             "ledger/part-1.tsv", "station-key.txt", "SHA256SUMS", "verify_ledger.py"}) {
        INFO(name);
        CHECK(handed.files.count(name) == 1);
    }
    CHECK(handed.exported.vouched_for);
    CHECK(handed.exported.clips == 2);
    CHECK(handed.exported.notes.empty());
    const BundleVerdict verdict = check_bundle(handed.zip);
    CHECK(verdict.misfit == "");
    CHECK(verdict.signed_by == StationKey::load(plant.key_file()).public_key());
    CHECK(has(verdict.case_words, "case 1, exported "));
    CHECK(verdict.masked);
    CHECK(verdict.records > 20);
    CHECK(handed.files.at("shifts/1/shift.json") == plant.store().read_shift(plant.shift)->shift.record_json);
}

TEST_CASE("The ledger's parts begin at the shift and leave out what was recorded between it and the case") {
    CasePlant plant;
    const Handed handed = hand_over(plant, wish_of(plant, "case.zip"));
    REQUIRE(handed.files.count("ledger/part-2.tsv") == 1);
    std::string all;
    for (const auto& [name, bytes] : handed.files) {
        if (name.starts_with("ledger/")) all += bytes;
    }
    CHECK(has(all, "\"kind\":\"shift_records\""));
    CHECK(has(all, "\"kind\":\"clips\""));
    CHECK(has(all, "\"kind\":\"case_events\""));
    // The thirty animals of the day after are not in it.
    CHECK_FALSE(has(all, "\"shift_id\":2,\"passage_id\":15"));
}

TEST_CASE("A masked clip is the recorded one within its call and another outside of it") {
    CasePlant plant;
    const Handed handed = hand_over(plant, wish_of(plant, "case.zip"));
    const ClipSound masked = clip_in(plant, handed.files.at("clips/clip-1.flac"));
    const auto [inside, outside] = same_in_and_out(masked, spoken_clip(), 2.0, 3.0);
    CHECK(inside == 1.0);
    CHECK(outside < 0.02);
    CHECK(has(handed.files.at("README.txt"), "The clips are masked"));
}

TEST_CASE("A call that a person found to be a human voice is masked too") {
    CasePlant plant;
    Finding finding;
    finding.shift_id = plant.shift;
    finding.call_id = 1;
    finding.verdict = CallVerdict::kPerson;
    finding.by = "A. Reviewer";
    enter_findings(plant.store(), {finding});
    const Handed handed = hand_over(plant, wish_of(plant, "case.zip"));
    const ClipSound first = clip_in(plant, handed.files.at("clips/clip-1.flac"));
    CHECK(same_in_and_out(first, spoken_clip(), 2.0, 3.0).first < 0.02);
    const ClipSound second = clip_in(plant, handed.files.at("clips/clip-2.flac"));
    CHECK(same_in_and_out(second, spoken_clip(), 2.0, 3.0).first == 1.0);
    CHECK(has(handed.files.at("findings.csv"), "person"));
    CHECK(handed.files.count("shifts/1/amendment-1.json") == 1);
    CHECK(check_bundle(handed.zip).misfit == "");
}

TEST_CASE("Unmasked without a reason is refused and leaves nothing; with one the reason is on record") {
    CasePlant plant;
    ExportWish wish = wish_of(plant, "open.zip");
    wish.masked = false;
    wish.reason = "  ";
    RealFiles files;
    CHECK_THROWS_WITH(export_case(plant.store(), files, plant.clock, wish), Catch::Contains("--reason"));
    CHECK_FALSE(std::filesystem::exists(wish.to));
    CHECK(accesses(plant).empty());
    wish.reason = "court order 12";
    const Handed handed = hand_over(plant, wish);
    CHECK(clip_in(plant, handed.files.at("clips/clip-1.flac")).samples == spoken_clip().samples);
    REQUIRE(accesses(plant).size() == 1);
    CHECK(has(accesses(plant).front(), "unmasked_export of case 1 by B. Lead: SHA256SUMS "));
    CHECK(has(accesses(plant).front(), "court order 12"));
    CHECK(has(handed.files.at("README.txt"), "NOT MASKED"));
    CHECK_FALSE(check_bundle(handed.zip).masked);
}

TEST_CASE("Whatever file of a bundle is altered, dropped or added to, the check names it") {
    CasePlant plant;
    const Handed handed = hand_over(plant, wish_of(plant, "case.zip"));
    for (const auto& [name, bytes] : handed.files) {
        INFO(name);
        ZipFiles altered = handed.files;
        const std::size_t middle = bytes.size() / 2;
        altered[name][middle] = static_cast<char>(altered[name][middle] ^ 1);
        CHECK(misfit_of(plant, altered) != "");
        if (name == "SHA256SUMS") continue; // then it is no bundle
        altered = handed.files;
        altered.erase(name);
        CHECK(has(misfit_of(plant, altered),
                  name == "ledger/part-1.tsv"   ? "belong to this export and are in none of its ledger"
                  : name == "ledger/part-2.tsv" ? "not the list of any export"
                                                : name + " is in SHA256SUMS and not in the bundle"));
    }
    ZipFiles more = handed.files;
    more["clips/clip-9.flac"] = "x";
    CHECK(has(misfit_of(plant, more), "not in SHA256SUMS"));
}

TEST_CASE("A bundle whose list was altered to fit its files is found by the record of the export") {
    CasePlant plant;
    const Handed handed = hand_over(plant, wish_of(plant, "case.zip"));
    ZipFiles altered = handed.files;
    const std::string before = sha256_hex(altered.at("findings.csv"));
    altered["findings.csv"] += "9,1,1,call,,,C. Other,2026-03-02T13:00:00.000Z,\n";
    std::string& sums = altered["SHA256SUMS"];
    sums.replace(sums.find(before), 64, sha256_hex(altered["findings.csv"]));
    CHECK(has(misfit_of(plant, altered), "not the list of any export"));
}

TEST_CASE("What a bundle says of itself can't break a line or command the terminal of who checks it") {
    CasePlant plant;
    ExportWish wish = wish_of(plant, "case.zip");
    wish.by = "M.\n\x1b[2J Berg";
    const std::string told = verify_bundle(hand_over(plant, wish).zip, "");
    CHECK(has(told, "by M.\\n\\u001B[2J Berg\n"));
    CHECK_FALSE(has(told, "\x1b"));
}

TEST_CASE("A part of the ledger that was made anew, so that it fits together, is not what was exported") {
    CasePlant plant(false); // with a signed head in the part it would not fit together
    const Handed handed = hand_over(plant, wish_of(plant, "case.zip"));
    std::string forged;
    std::string previous;
    std::istringstream lines(handed.files.at("ledger/part-1.tsv"));
    bool altered_one = false;
    for (std::string line; std::getline(lines, line);) {
        if (line.starts_with("#")) {
            if (line.starts_with("# previous ")) previous = line.substr(11);
            forged += line + "\n";
            continue;
        }
        std::string record = line.substr(line.rfind('\t') + 1);
        const std::size_t vocal = record.find("\"vocal\":1");
        if (vocal != std::string::npos && !altered_one) {
            record[vocal + 8] = '0';
            altered_one = true;
        }
        previous = sha256_hex(previous + "\n" + record + "\n");
        forged += line.substr(0, line.find('\t') + 1) + previous + "\t" + record + "\n";
    }
    REQUIRE(altered_one);
    std::istringstream in(forged);
    REQUIRE_FALSE(check_ledger_file(in).misfit);
    ZipFiles altered = handed.files;
    altered["ledger/part-1.tsv"] = forged;
    CHECK(has(misfit_of(plant, altered), "records that belong to this export"));
}

TEST_CASE("A bundle that another key signed is told when the reader has the station's") {
    CasePlant plant;
    const Handed handed = hand_over(plant, wish_of(plant, "case.zip"));
    CasePlant other;
    LedgerTrust trust;
    trust.public_key = StationKey::load(other.key_file()).public_key();
    const BundleVerdict verdict = check_bundle(handed.zip, trust);
    CHECK((verdict.misfit != "" || verdict.signed_by.empty()));
    trust.public_key = StationKey::load(plant.key_file()).public_key();
    CHECK(check_bundle(handed.zip, trust).signed_by == trust.public_key);
}

TEST_CASE("Without the station's key a bundle is made and says that it is not signed") {
    CasePlant plant(false);
    const Handed handed = hand_over(plant, wish_of(plant, "case.zip"));
    CHECK_FALSE(handed.exported.vouched_for);
    REQUIRE_FALSE(handed.exported.notes.empty());
    CHECK(has(handed.exported.notes.back(), "not signed"));
    CHECK(has(handed.files.at("README.txt"), "NOT SIGNED"));
    const BundleVerdict verdict = check_bundle(handed.zip);
    CHECK(verdict.misfit == "");
    CHECK(verdict.signed_by.empty());
    CHECK(has(verdict.notes.back(), "not signed"));
}

TEST_CASE("A clip that isn't what was recorded is not handed over; one that is gone is named") {
    CasePlant plant;
    const std::string good = plant.folder.text("clips/1.flac");
    plant.folder.write("clips/1.flac", good + "x");
    RealFiles files;
    CHECK_THROWS_WITH(export_case(plant.store(), files, plant.clock, wish_of(plant, "case.zip")),
                      Catch::Contains("1.flac"));
    CHECK_FALSE(std::filesystem::exists(plant.folder / "case.zip"));
    std::filesystem::remove(plant.folder / "clips/1.flac");
    const Handed handed = hand_over(plant, wish_of(plant, "case.zip"));
    CHECK(handed.exported.clips == 1);
    REQUIRE(handed.exported.notes.size() == 1);
    CHECK(has(handed.exported.notes.front(), "clip 1"));
    CHECK(has(handed.files.at("README.txt"), "clip 1: its file is not in this folder"));
    CHECK(check_bundle(handed.zip).misfit == "");
}

TEST_CASE("A file that is there is not overwritten, and an empty case is not handed over") {
    CasePlant plant;
    RealFiles files;
    ExportWish wish = wish_of(plant, "case.zip");
    plant.folder.write("case.zip", "mine");
    CHECK_THROWS_WITH(export_case(plant.store(), files, plant.clock, wish), Catch::Contains("there already"));
    CHECK(plant.folder.text("case.zip") == "mine");
    wish.to = plant.folder / "b.zip";
    wish.case_id = 9;
    CHECK_THROWS_WITH(export_case(plant.store(), files, plant.clock, wish), Catch::Contains("no such case"));
}

TEST_CASE("A case that is more than one bundle may hold is refused in one line before it is on record") {
    CasePlant plant;
    const std::size_t before = accesses(plant).size();
    const auto refusal = [&](const ZipLimits& most) {
        ExportWish wish = wish_of(plant, "large.zip");
        wish.most = most;
        try {
            hand_over(plant, wish);
        } catch (const Failure& failure) {
            CHECK(failure.exit_code() == kExitUsage);
            return std::string(failure.what());
        }
        return std::string("handed over");
    };
    CHECK(has(refusal({.files = 20'000, .bytes = 1'200'000}), "more than 1 MiB"));
    CHECK(has(refusal({.files = 12, .bytes = std::size_t{1} << 30}), "more than 12 files"));
    CHECK(accesses(plant).size() == before);
    CHECK_FALSE(std::filesystem::exists(plant.folder / "large.zip"));
    CHECK(refusal({}) == "handed over");
}

TEST_CASE("Where nothing was ever signed, the parts of the ledger are those of the case and no more") {
    CasePlant plant(false);
    const Handed handed = hand_over(plant, wish_of(plant, "unsigned.zip"));
    CHECK_FALSE(handed.exported.vouched_for);
    std::string all;
    for (const auto& [name, bytes] : handed.files) {
        if (name.starts_with("ledger/")) all += bytes;
    }
    CHECK(has(all, "\"kind\":\"shift_records\""));
    CHECK(has(all, "\"kind\":\"accesses\""));
    std::size_t passages = 0;
    for (auto at = all.find("\"kind\":\"passages\""); at != std::string::npos;
         at = all.find("\"kind\":\"passages\"", at + 1))
        ++passages;
    CHECK(passages == 20); // the thirty of the shift that no part is of are not in it
    CHECK(check_bundle(handed.zip).misfit == "");
}
