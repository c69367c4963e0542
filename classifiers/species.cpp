#include "classifiers/species.h"

namespace quietpass {

std::optional<Species> species_from(std::string_view word) {
    for (const Species species : {Species::kCattle, Species::kPig, Species::kSheep}) {
        if (word == name_of(species)) return species;
    }
    return std::nullopt;
}

std::string_view name_of(Species species) {
    switch (species) {
        case Species::kCattle:
            return "cattle";
        case Species::kPig:
            return "pig";
        case Species::kSheep:
            return "sheep";
    }
    return "";
}

std::string_view name_of(CallKind kind) {
    switch (kind) {
        case CallKind::kMoo:
            return "moo";
        case CallKind::kBellow:
            return "bellow";
        case CallKind::kSqueal:
            return "squeal";
        case CallKind::kGrunt:
            return "grunt";
    }
    return "";
}

} // namespace quietpass
