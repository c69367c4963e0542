#include "daemon/ledger/signature_check.h"

#include <nlohmann/json.hpp>

#include "daemon/ledger/ed25519.h"

namespace quietpass {
namespace {

struct KeyRecord {
    std::string key_id, public_key, replaces, proof;
    std::int64_t since_utc_ns = 0;
};

std::optional<KeyRecord> key_in(const std::string& line) {
    const auto row = nlohmann::json::parse(line, nullptr, false);
    try {
        return KeyRecord{row.at("key_id"), row.at("public_key"), row.value("replaces", ""),
                         row.value("proof", ""), row.at("since_utc_ns")};
    } catch (const nlohmann::json::exception&) {
        return std::nullopt;
    }
}

struct HeadRecord {
    SignedHead head;
    std::string hash;
};

std::optional<HeadRecord> head_in(const std::string& line) {
    const auto row = nlohmann::json::parse(line, nullptr, false);
    try {
        HeadRecord record;
        record.head.of_seq = row.at("of_seq");
        record.hash = row.at("hash");
        record.head.utc_ns = row.at("utc_ns");
        record.head.key_id = row.at("key_id");
        record.head.signature = row.at("signature");
        return record;
    } catch (const nlohmann::json::exception&) {
        return std::nullopt;
    }
}

} // namespace

SignatureCheck::SignatureCheck(const LedgerTrust& trust, LedgerVerdict& verdict)
    : trust_(trust), verdict_(verdict) {}

void SignatureCheck::know(const std::string& public_key) {
    take({key_id_of(public_key), public_key}, false);
}

void SignatureCheck::take(const KnownKey& key, bool vouched) {
    trusted_ = trust_.public_key.empty() || key.public_key == trust_.public_key || (trusted_ && vouched);
    verdict_.keys.push_back(key);
}

std::optional<Misfit> SignatureCheck::add(std::int64_t seq, const std::string& kind, const std::string& line,
                                          const ChainHash& previous) {
    const auto misfit = [&](MisfitCause cause, const std::string& why) {
        return Misfit{seq, kind, cause, why};
    };
    if (kind == "keys") {
        const auto key = key_in(line);
        if (!key || key->key_id != key_id_of(key->public_key))
            return misfit(MisfitCause::kUnknownKey, "the key's name is not that of its public key");
        const std::string before = verdict_.keys.empty() ? "" : verdict_.keys.back().id;
        if (key->replaces != before) {
            return misfit(MisfitCause::kUnknownKey, "key " + key->key_id +
                                                        " doesn't replace the key in force (" +
                                                        (before.empty() ? "none" : before) + ")");
        }
        bool vouched = false;
        if (!before.empty() && !key->proof.empty()) {
            vouched = is_signed_by(verdict_.keys.back().public_key,
                                   key_proof_bytes(key->public_key, key->since_utc_ns), key->proof);
            if (!vouched) {
                return misfit(MisfitCause::kWrongSignature,
                              "key " + key->key_id + " is not vouched for by key " + before);
            }
        }
        if (!before.empty() && !vouched) {
            verdict_.notes.push_back("From record " + std::to_string(seq) + " on, key " + key->key_id +
                                     " signs in place of key " + before +
                                     ", which was lost and doesn't vouch for it: ask who replaced it.");
        }
        take({key->key_id, key->public_key}, vouched);
        return std::nullopt;
    }
    auto record = head_in(line);
    if (!record) return misfit(MisfitCause::kWrongSignature, "it is no signed head");
    SignedHead& head = record->head;
    if (head.of_seq != seq - 1 || record->hash != hex_of(previous))
        return misfit(MisfitCause::kWrongSignature, "it is not the head of the record before it");
    head.hash = previous;
    if (verdict_.keys.empty() || verdict_.keys.back().id != head.key_id)
        return misfit(MisfitCause::kUnknownKey,
                      "signed by key " + head.key_id + ", which is not in force here");
    if (!is_signed_by(verdict_.keys.back().public_key, signed_bytes(head), head.signature))
        return misfit(MisfitCause::kWrongSignature, "key " + head.key_id + " did not sign this head");
    if (trusted_) verdict_.head = head;
    return std::nullopt;
}

} // namespace quietpass
