// How long each statement takes that a program of ours puts to SQLite: loaded before it, so that the program
// itself is measured as it is. Not a test. Usage: LD_PRELOAD=build/ci/libquery_times.so
// QUIETPASS_QUERIES=queries.tsv quietpass report …
//
// At its end the program adds a line a statement to the file: longest ms, times, all ms, the statement. A
// time goes from the first row asked for to the last, with what the program does with the rows in between.
#include <dlfcn.h>
#include <sqlite3.h>

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <map>
#include <mutex>
#include <string>

namespace {

struct Spent {
    double longest_ms = 0.0;
    double all_ms = 0.0;
    long times = 0;
};

class Statements {
  public:
    void took(const std::string& sql, double ms) {
        const std::lock_guard lock(mutex_);
        Spent& spent = spent_[sql];
        spent.longest_ms = std::max(spent.longest_ms, ms);
        spent.all_ms += ms;
        ++spent.times;
    }
    ~Statements() {
        const char* const path = std::getenv("QUIETPASS_QUERIES");
        std::FILE* const file = path == nullptr ? nullptr : std::fopen(path, "a");
        if (file == nullptr) return;
        for (const auto& [text, spent] : spent_) {
            std::string sql = text;
            for (char& c : sql) c = c == '\n' || c == '\t' ? ' ' : c;
            std::fprintf(file, "%.2f\t%ld\t%.2f\t%s\n", spent.longest_ms, spent.times, spent.all_ms,
                         sql.c_str());
        }
        std::fclose(file);
    }

  private:
    std::mutex mutex_;
    std::map<std::string, Spent> spent_; // under mutex_
};

Statements& statements() {
    static Statements all;
    return all;
}

int on_profile(unsigned, void*, void* statement, void* nanoseconds) {
    const char* const sql = sqlite3_sql(static_cast<sqlite3_stmt*>(statement));
    if (sql != nullptr)
        statements().took(sql, 1e-6 * static_cast<double>(*static_cast<sqlite3_int64*>(nanoseconds)));
    return 0;
}

} // namespace

extern "C" __attribute__((visibility("default"))) int sqlite3_open_v2(const char* name, sqlite3** database,
                                                                      int flags, const char* vfs) {
    using Open = int (*)(const char*, sqlite3**, int, const char*);
    static const auto real = reinterpret_cast<Open>(dlsym(RTLD_NEXT, "sqlite3_open_v2"));
    const int code = real(name, database, flags, vfs);
    if (code == SQLITE_OK) {
        statements();
        sqlite3_trace_v2(*database, SQLITE_TRACE_PROFILE, on_profile, nullptr);
    }
    return code;
}
