#include "tests/records/simulated_files.h"

namespace quietpass {
namespace {

[[noreturn]] void fail(std::errc how) {
    throw std::system_error(std::make_error_code(how));
}

} // namespace

void SimulatedFiles::fail_from(int step, std::errc how) {
    fail_from_ = step;
    how_ = how;
    steps_ = 0;
}

void SimulatedFiles::cut_power_before(int step) {
    cut_before_ = step;
    steps_ = 0;
}

void SimulatedFiles::restart() {
    names_.clear();
    for (const auto& [name, content] : synced_names_) {
        names_[name] = std::make_shared<Content>(Content{content->synced, content->synced});
    }
    synced_names_ = names_;
    fail_from_.reset();
    cut_before_.reset();
}

std::vector<std::string> SimulatedFiles::names() const {
    std::vector<std::string> out;
    for (const auto& [name, content] : names_) out.push_back(name.string());
    return out;
}

std::optional<std::errc> SimulatedFiles::failure_of_step() {
    const int step = steps_++;
    if (cut_before_ && step >= *cut_before_) throw PowerCut{};
    if (fail_from_ && step >= *fail_from_) return how_;
    return std::nullopt;
}

void SimulatedFiles::make_folders(const std::filesystem::path&) {
    if (const auto how = failure_of_step()) fail(*how);
}

void SimulatedFiles::write(const std::filesystem::path& file, std::string_view bytes) {
    const auto how = failure_of_step();
    if (how == std::errc::read_only_file_system) fail(*how);
    auto& content = names_[file];
    if (!content) content = std::make_shared<Content>();
    content->bytes = how ? bytes.substr(0, bytes.size() / 2) : bytes;
    if (how) fail(*how);
}

void SimulatedFiles::sync(const std::filesystem::path& file) {
    if (const auto how = failure_of_step()) fail(*how);
    Content& content = *names_.at(file);
    content.synced = content.bytes;
}

void SimulatedFiles::rename(const std::filesystem::path& from, const std::filesystem::path& to) {
    if (const auto how = failure_of_step()) fail(*how);
    names_[to] = names_.at(from);
    names_.erase(from);
}

void SimulatedFiles::sync_folder(const std::filesystem::path& folder) {
    if (const auto how = failure_of_step()) fail(*how);
    const auto in_folder = [&folder](const auto& entry) { return entry.first.parent_path() == folder; };
    std::erase_if(synced_names_, in_folder);
    for (const auto& entry : names_) {
        if (in_folder(entry)) synced_names_.insert(entry);
    }
}

void SimulatedFiles::remove(const std::filesystem::path& file) {
    const auto how = failure_of_step();
    if (how == std::errc::read_only_file_system) fail(*how);
    names_.erase(file);
}

std::optional<std::string> SimulatedFiles::read(const std::filesystem::path& file) const {
    const auto found = names_.find(file);
    if (found == names_.end()) return std::nullopt;
    return found->second->bytes;
}

std::vector<std::filesystem::path> SimulatedFiles::files_under(const std::filesystem::path& folder) const {
    std::vector<std::filesystem::path> files;
    for (const auto& [name, content] : names_) {
        if (name.string().starts_with(folder.string() + "/")) files.push_back(name);
    }
    return files;
}

} // namespace quietpass
