// ledger.tsv: what the store has, for whoever has no store; checked here and by a verifier in another
// language, which must agree on every file, good or tampered with.
#include "daemon/ledger/ledger_file.h"

#include <sys/wait.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <cstdlib>
#include <fstream>
#include <random>
#include <sstream>

#include "daemon/failure.h"
#include "daemon/records/sha256.h"
#include "tests/ledger/signed_store.h"
#include "tests/test_folder.h"

using namespace quietpass;

namespace {

std::string ledger_of(Store& store, std::int64_t from, std::int64_t to) {
    std::ostringstream out;
    store.read([&](SQLite::Database& database) { write_ledger_file(database, from, to, out); });
    return out.str();
}

LedgerVerdict verdict_of(const std::string& text, const LedgerTrust& trust = {}) {
    std::istringstream in(text);
    return check_ledger_file(in, trust);
}

std::vector<std::string> lines_of(const std::string& text) {
    std::vector<std::string> lines;
    std::istringstream in(text);
    for (std::string line; std::getline(in, line);) lines.push_back(line);
    return lines;
}

std::string joined(const std::vector<std::string>& lines) {
    std::string text;
    for (const std::string& line : lines) text += line + "\n";
    return text;
}

// Of a record's line.
std::string hash_in(const std::string& line) {
    const std::size_t at = line.find('\t') + 1;
    return line.substr(at, line.find('\t', at) - at);
}

bool python_has_ed25519() {
    return std::system("python3 -c 'import cryptography' 2>/dev/null") == 0;
}

int python_says(const std::filesystem::path& file, const std::string& text, const std::string& key = "") {
    std::ofstream(file, std::ios::binary) << text;
    const std::string command =
        std::string("python3 ") + QUIETPASS_VERIFIER + " " + file.string() + " " + key + " >/dev/null 2>&1";
    return WEXITSTATUS(std::system(command.c_str()));
}

} // namespace

TEST_CASE("The whole ledger as a file is found whole, as the store is") {
    const TestFolder temp;
    SignedStore made(temp.path());
    made.fill();
    const LedgerVerdict of_store = checked(made.file);
    const std::string text = ledger_of(made.store, 1, of_store.last_seq);
    const LedgerVerdict verdict = verdict_of(text);
    CHECK_FALSE(verdict.misfit);
    CHECK(verdict.records == of_store.records);
    CHECK(verdict.last_hash == of_store.last_hash);
    REQUIRE(verdict.head);
    CHECK(code_of(*verdict.head) == code_of(*of_store.head));
    CHECK(lines_of(text)[1] == "# previous " + std::string(64, '0'));
}

TEST_CASE("A part of the ledger is checked from the record before it on, with the key in force") {
    const TestFolder temp;
    SignedStore made(temp.path());
    made.fill();
    std::int64_t passage = 0;
    std::int64_t to = 0;
    made.store.read([&](SQLite::Database& database) {
        passage = database.execAndGet("SELECT min(seq) FROM passages").getInt64();
        to = *head_record_covering(database, passage);
        CHECK_FALSE(head_record_covering(database, 1'000'000));
    });
    const std::string text = ledger_of(made.store, passage, to);
    const std::string key = made.signer->key().public_key();
    const LedgerVerdict verdict = verdict_of(text, {key});
    CHECK_FALSE(verdict.misfit);
    CHECK(verdict.first_seq == passage);
    CHECK(verdict.last_seq == to);
    REQUIRE(verdict.head);
    CHECK(verdict.head->of_seq == to - 1);
    CHECK_FALSE(verdict_of(text, {std::string(64, '1')}).head);
    CHECK_THROWS_AS(ledger_of(made.store, passage, 1'000'000), Failure);
}

TEST_CASE("A file that was tampered with says what was done to which record") {
    const TestFolder temp;
    SignedStore made(temp.path());
    made.fill();
    const std::vector<std::string> good = lines_of(ledger_of(made.store, 1, checked(made.file).last_seq));
    const auto cause_at = [&](const std::vector<std::string>& lines, std::int64_t seq) {
        const LedgerVerdict verdict = verdict_of(joined(lines));
        REQUIRE(verdict.misfit);
        INFO(words_of(*verdict.misfit));
        CHECK(verdict.misfit->seq == seq);
        return verdict.misfit->cause;
    };
    const std::size_t at = 9; // record 8: two lines come before the first record
    std::vector<std::string> lines = good;
    lines[at][lines[at].size() - 3] ^= 1;
    CHECK(cause_at(lines, 8) == MisfitCause::kChanged);
    lines = good;
    lines[at][5] = lines[at][5] == 'a' ? 'b' : 'a';
    CHECK(cause_at(lines, 8) == MisfitCause::kHashChanged);
    lines = good;
    lines.erase(lines.begin() + at);
    CHECK(cause_at(lines, 8) == MisfitCause::kMissing);
    lines = good;
    std::swap(lines[at], lines[at + 1]);
    CHECK(cause_at(lines, 9) == MisfitCause::kOutOfOrder);
    lines = good;
    lines.insert(lines.begin() + at, "an inserted line");
    CHECK(cause_at(lines, 8) == MisfitCause::kUnreadable);
    lines = good;
    lines[1] = "# previous " + std::string(64, '1');
    CHECK(cause_at(lines, 1) == MisfitCause::kHashChanged);
    lines = good;
    lines[0] = "something else";
    CHECK(cause_at(lines, 0) == MisfitCause::kUnreadable);
    CHECK(verdict_of("").misfit);
}

TEST_CASE("A verifier in another language agrees on good files and on any that was tampered with") {
    if (!python_has_ed25519()) {
        WARN("skipped: python3-cryptography is not installed (deploy/install-packages)");
        return;
    }
    const TestFolder temp;
    SignedStore made(temp.path());
    made.fill();
    const std::string first_key = made.signer->key().public_key();
    made.store.change(
        [&](SQLite::Database& database) { rotate_station_key(database, made.key_file, made.clock, false); });
    made.store.write(std::vector<StoreRow>{sample_shift(2), passage_row(2, 1), SignHead{"day"}});
    const std::int64_t last = checked(made.file).last_seq;
    const std::string whole = ledger_of(made.store, 1, last);
    const std::string part = ledger_of(made.store, last - 4, last);
    const std::filesystem::path file = temp / "ledger.tsv";
    for (const std::string& text : {whole, part}) {
        CHECK_FALSE(verdict_of(text).misfit);
        CHECK(python_says(file, text) == 0);
        CHECK(python_says(file, text, std::string(64, '1')) == 1);
        CHECK_FALSE(verdict_of(text, {std::string(64, '1')}).head);
    }
    CHECK(python_says(file, whole, first_key) == 0);
    CHECK(verdict_of(whole, {first_key}).head->of_seq == last - 1);

    // A record made anew with a hash that fits it, and after it what would make the next one fit again.
    std::vector<std::string> forged = lines_of(whole);
    const std::size_t middle = forged.size() / 2;
    const std::string before = hash_in(forged[middle - 1]);
    const std::string genuine = hash_in(forged[middle]);
    std::string record = forged[middle].substr(forged[middle].rfind('\t') + 1);
    record.insert(record.size() - 1, ",\"more\":1");
    forged[middle] =
        std::to_string(middle - 1) + "\t" + sha256_hex(before + "\n" + record + "\n") + "\t" + record;
    forged.insert(forged.begin() + static_cast<std::ptrdiff_t>(middle + 1), "# previous " + genuine);
    CHECK(verdict_of(joined(forged)).misfit);
    CHECK(python_says(file, joined(forged), first_key) == 1);
    // A key that no record names.
    forged = lines_of(whole);
    forged.insert(forged.begin() + static_cast<std::ptrdiff_t>(middle), "# key " + std::string(64, '1'));
    CHECK(verdict_of(joined(forged)).misfit);
    CHECK(python_says(file, joined(forged), first_key) == 1);

    std::mt19937 random(20260308);
    const auto any = [&random](std::size_t below) { return random() % below; };
    for (int trial = 0; trial < 40; ++trial) {
        std::vector<std::string> lines = lines_of(whole);
        const std::size_t at = 2 + any(lines.size() - 3);
        switch (trial % 4) {
            case 0:
                lines[at][any(lines[at].size())] ^= static_cast<char>(1 << any(7));
                break;
            case 1:
                lines.erase(lines.begin() + static_cast<std::ptrdiff_t>(at));
                break;
            case 2:
                std::swap(lines[at], lines[at + 1]);
                break;
            default:
                lines.insert(lines.begin() + static_cast<std::ptrdiff_t>(at), lines[at]);
        }
        INFO(trial << ": line " << at);
        CHECK(verdict_of(joined(lines)).misfit);
        CHECK(python_says(file, joined(lines)) == 1);
    }
}
