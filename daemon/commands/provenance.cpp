#include "daemon/commands/provenance.h"

#include "daemon/build_facts.h"

namespace quietpass {

Provenance provenance_of(const StationSettings& settings, const ProfileFile* profile) {
    Provenance provenance;
    provenance.versions["quietpass"] = kVersion;
    provenance.hashes["configuration"] = settings.sha256;
    if (profile != nullptr) {
        provenance.versions["profile"] = profile->profile.name + " " + profile->profile.version;
        provenance.hashes["profile"] = profile->sha256;
    }
    return provenance;
}

} // namespace quietpass
