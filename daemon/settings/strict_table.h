// One table of a TOML file, read strictly: each key is asked for once with what it must be, and finish()
// fails on any key that nobody asked for. Every error is a Failure(2) of one line: "file:line: table.key:
// expected …, found …".
//
// Set-up only; not thread-safe. The table must outlive it.
#pragma once

#include <toml++/toml.h>

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace quietpass {

// A number's range and what to call it: {0, 5000, "a number of milliseconds"}; above: the lowest value itself
// is out.
struct NumberRange {
    double lowest = 0.0;
    double highest = 0.0;
    std::string_view what;
    bool above = false;
};

class StrictTable {
  public:
    // path: where the table stands, "contact" for [[contact]]; empty for the top of the file.
    StrictTable(const toml::table& table, std::string file, std::string path);

    // Empty text is an error, as are control characters. Without a fallback the key is required.
    std::string text(std::string_view key, std::string_view expected);
    std::string text_or(std::string_view key, std::string_view expected, std::string fallback);
    double number(std::string_view key, const NumberRange& range);
    double number_or(std::string_view key, const NumberRange& range, double fallback);
    bool flag_or(std::string_view key, bool fallback);
    // One of the words; its index.
    std::size_t word(std::string_view key, const std::vector<std::string_view>& words);
    std::size_t word_or(std::string_view key, const std::vector<std::string_view>& words,
                        std::size_t fallback);
    // Several of the words, none twice; an empty result when the key is not there.
    std::vector<std::size_t> words_or_none(std::string_view key, const std::vector<std::string_view>& words);
    // A list of texts, each as text() wants it; one or more, or, without the key, none.
    std::vector<std::string> texts(std::string_view key, std::string_view expected);
    std::vector<std::string> texts_or_none(std::string_view key, std::string_view expected);
    // [key]; null when it is not there.
    const toml::table* table_or_null(std::string_view key);
    // [[key]], in the order of the file; empty when it is not there.
    std::vector<const toml::table*> tables(std::string_view key);

    const std::string& file() const { return file_; }
    bool has(std::string_view key) const { return table_.contains(key); }
    // Fails on the first key that was not asked for.
    void finish() const;

    // Throws the Failure for a key of this table, at its line (the table's line when the key is not there).
    [[noreturn]] void fail(std::string_view key, const std::string& what) const;

  private:
    [[noreturn]] void missing(std::string_view key, const std::string& expected) const;
    const toml::node* ask(std::string_view key);
    std::string text_of(const toml::node& node, std::string_view key, std::string_view expected) const;
    std::size_t word_of(const toml::node& node, std::string_view key,
                        const std::vector<std::string_view>& words) const;

    const toml::table& table_;
    std::string file_;
    std::string path_;
    std::vector<std::string_view> known_;
};

} // namespace quietpass
