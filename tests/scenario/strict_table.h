// A TOML table that is read strictly: each key is asked for with its type and range, and done() refuses the
// keys that nobody asked for. Every complaint is a Failure (exit 2) of one line: file:line: key: what was
// expected, what was found.
#pragma once

#include <toml++/toml.h>

#include <set>
#include <string>
#include <vector>

namespace quietpass::scenario {

class StrictTable {
  public:
    // table may be null: then every key has its default. name: the table's own key path, "" for the file.
    StrictTable(const std::string& file, const std::string& name, const toml::table* table);

    bool has(const char* key) const;
    double number(const char* key, double fallback, double least, double most);
    int integer(const char* key, int fallback, int least, int most);
    bool flag(const char* key, bool fallback);
    std::string text(const char* key, const std::string& fallback);
    // One of the words, which are listed in the complaint.
    std::string word(const char* key, const std::string& fallback, const std::vector<std::string>& words);
    std::vector<std::string> texts(const char* key, const std::vector<std::string>& fallback = {});
    std::vector<double> numbers(const char* key, const std::vector<double>& fallback, double least,
                                double most);
    StrictTable child(const char* key);                 // an absent one is empty
    std::vector<StrictTable> children(const char* key); // an array of tables; absent: none
    std::vector<std::string> keys() const;

    void done() const; // throws at the first key that was not asked for
    [[noreturn]] void complain(const char* key, const std::string& what) const;

  private:
    const toml::node* node(const char* key);
    [[noreturn]] void wrong(const char* key, const std::string& expected) const;
    double checked(const char* key, const toml::node& node, double least, double most) const;

    std::string file_;
    std::string name_;
    const toml::table* table_;
    std::set<std::string> asked_;
};

} // namespace quietpass::scenario
