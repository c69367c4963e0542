#include "daemon/bundles/verify_bundle.h"

#include <fmt/format.h>

#include "classifiers/one_line.h"
#include "daemon/bundles/bundle_check.h"
#include "daemon/failure.h"
#include "daemon/ledger/ed25519.h"

namespace quietpass {

std::string verify_bundle(const std::string& file, const std::string& public_key, const std::string& shown) {
    const std::string& name = shown.empty() ? file : shown;
    const BundleVerdict verdict = check_bundle(file, {public_key});
    if (!verdict.misfit.empty()) throw Failure(kExitFailure, name + ": " + verdict.misfit);
    if (!public_key.empty() && verdict.signed_by.empty()) {
        throw Failure(kExitFailure, name + ": all fits together, but no head over it is signed by key " +
                                        key_id_of(public_key) +
                                        " or by one that it vouches for; ask whose records these are");
    }
    // The file comes from outside: what it says of itself is shown, never obeyed.
    std::string text = in_one_line(name) + "\n" + in_one_line(verdict.case_words) +
                       (verdict.masked ? "\n" : ", NOT MASKED\n");
    text += fmt::format("{} files are those of its list; {} records each fit the one before.\n",
                        verdict.files, verdict.records);
    if (!verdict.signed_by.empty()) {
        text += "Signed by key " + key_id_of(verdict.signed_by) + ": all of it.\n";
        if (public_key.empty()) {
            text += "Whether that is the station's key, `--public-key` tells: have it from the plant.\n";
        }
    }
    for (const std::string& note : verdict.notes) text += in_one_line(note) + "\n";
    return text;
}

} // namespace quietpass
