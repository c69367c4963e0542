#include "daemon/commands/users_command.h"

#include <pwd.h>
#include <termios.h>
#include <unistd.h>

#include <filesystem>
#include <iostream>
#include <memory>
#include <string>

#include "daemon/clock.h"
#include "daemon/commands/records_options.h"
#include "daemon/failure.h"
#include "daemon/records/access_rows.h"
#include "daemon/records/store.h"
#include "daemon/records/utc_text.h"
#include "daemon/web/password_hash.h"
#include "daemon/web/people.h"

namespace quietpass {

namespace {

struct UsersOptions {
    std::string out;
    std::string name;
    std::string role;
    bool csv = false;
    bool json = false;
};

// Nothing typed is shown while it lives.
class Hidden {
  public:
    Hidden() : is_terminal_(tcgetattr(STDIN_FILENO, &before_) == 0) {
        if (!is_terminal_) return;
        termios hidden = before_;
        hidden.c_lflag &= ~static_cast<tcflag_t>(ECHO);
        tcsetattr(STDIN_FILENO, TCSAFLUSH, &hidden);
    }
    ~Hidden() {
        if (is_terminal_) tcsetattr(STDIN_FILENO, TCSAFLUSH, &before_);
    }
    Hidden(const Hidden&) = delete;
    Hidden& operator=(const Hidden&) = delete;
    bool is_terminal() const { return is_terminal_; }

  private:
    termios before_{};
    bool is_terminal_;
};

std::string line_of_input(bool ask, const char* question) {
    if (ask) std::cerr << question << std::flush;
    std::string line;
    std::getline(std::cin, line);
    if (ask) std::cerr << '\n';
    return line;
}

// From the terminal, twice; or one line of standard input.
std::string new_password() {
    const Hidden hidden;
    const std::string password = line_of_input(hidden.is_terminal(), "Password: ");
    if (password.size() < kShortestPassword || password.size() > kLongestPassword) {
        throw Failure(kExitUsage, "users: expected a password of " + std::to_string(kShortestPassword) +
                                      " to " + std::to_string(kLongestPassword) +
                                      " bytes, from the terminal or as a line of standard input");
    }
    if (hidden.is_terminal() && line_of_input(true, "Once more: ") != password) {
        throw Failure(kExitUsage, "users: the two passwords differ; nothing was changed");
    }
    return password;
}

std::filesystem::path folder_of(const UsersOptions& options) {
    if (std::filesystem::is_directory(options.out)) return options.out;
    throw Failure(kExitUsage, "users: --out " + options.out +
                                  ": no such folder; give the one that `quietpass run --out` writes to");
}

std::string login_name() {
    const passwd* const user = getpwuid(getuid());
    return user == nullptr ? std::to_string(getuid()) : user->pw_name;
}

void tell(const UsersOptions& options, const std::string& detail) {
    Store store(std::filesystem::path(options.out) / "records.db");
    store.change([&](SQLite::Database& database) {
        add_access(database, {RealClock().utc_ns(), login_name(), "users", "user " + options.name, detail});
    });
    std::cout << "user " << options.name << ": " << detail << '\n';
}

PageRole role_of(const UsersOptions& options) {
    return *page_role_named(options.role); // checked by the option
}

void add(const UsersOptions& options) {
    People people(folder_of(options));
    people.add(options.name, role_of(options), password_hash(new_password()), RealClock().utc_ns());
    tell(options, "added as " + options.role);
}

void set_role(const UsersOptions& options) {
    People people(folder_of(options));
    people.set_role(options.name, role_of(options), RealClock().utc_ns());
    tell(options, "is " + options.role + " now");
}

void set_password(const UsersOptions& options) {
    People people(folder_of(options));
    if (!people.find(options.name)) people.set_hash(options.name, "", 0); // fails before anybody types
    people.set_hash(options.name, password_hash(new_password()), RealClock().utc_ns());
    tell(options, "has another password");
}

void remove(const UsersOptions& options) {
    People people(folder_of(options));
    people.remove(options.name);
    tell(options, "removed");
}

void list(const UsersOptions& options) {
    const People people(folder_of(options));
    Section section{"users",
                    "",
                    {{{"name", "name"}, {"role", "role"}, {"added", "added"}, {"changed", "changed"}}, {}},
                    {}};
    for (const Account& account : people.all()) {
        section.table.rows.push_back({account.name, std::string(name_of(account.role)),
                                      utc_text(account.added_utc_ns), utc_text(account.changed_utc_ns)});
    }
    print({{}, {section}, 0}, options.json ? Output::kJson : options.csv ? Output::kCsv : Output::kText);
}

using Options = std::shared_ptr<UsersOptions>;

CLI::App* sub(CLI::App& users, const char* name, const char* what, const Options& options,
              void (*work)(const UsersOptions&)) {
    CLI::App* app = users.add_subcommand(name, what);
    app->add_option("--out", options->out, "Folder that `run` writes to")->required();
    app->callback([options, work] { work(*options); });
    return app;
}

void add_name(CLI::App* app, const Options& options) {
    app->add_option("name", options->name, "The user's name")->required();
}

void add_role(CLI::App* app, const Options& options) {
    app->add_option("--role", options->role, "wall, reviewer, manager, administrator")
        ->required()
        ->check(CLI::IsMember(std::vector<std::string>(kPageRoleNames.begin(), kPageRoleNames.end())));
}

} // namespace

void add_users_command(CLI::App& app) {
    CLI::App* users = app.add_subcommand("users", "Who may use the page");
    users->require_subcommand(1);
    users->footer(
        "wall: the live page only. reviewer: hears calls and says what they were.\n"
        "manager: journal, cases, reports too. administrator: all.\n"
        "Passwords are read from the terminal, or are one line of standard input.");
    const auto options = std::make_shared<UsersOptions>();
    CLI::App* added = sub(*users, "add", "Add somebody", options, add);
    add_name(added, options);
    add_role(added, options);
    CLI::App* listed = sub(*users, "list", "List them", options, list);
    CLI::Option* csv = listed->add_flag("--csv", options->csv, "As CSV");
    listed->add_flag("--json", options->json, "As JSON")->excludes(csv);
    CLI::App* changed =
        sub(*users, "role", "Give somebody another role; ends their sessions", options, set_role);
    add_name(changed, options);
    add_role(changed, options);
    add_name(sub(*users, "remove", "Remove somebody; ends their sessions", options, remove), options);
    add_name(
        sub(*users, "password", "Give somebody another password; ends their sessions", options, set_password),
        options);
}

} // namespace quietpass
