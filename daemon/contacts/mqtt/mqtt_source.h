// Contacts whose states a broker tells, each on a topic of its own (words: contact_payload.h).
//
// A change stands at the arrival of its message. Levels are known once each topic had a message on this
// connection: a retained one comes at once, else the next one. The broker is asked every ask_every_s whether
// it is there; up to the last question that it answered, all is known. Lost: when the connection fails or is
// refused, when no answer comes for answer_within_s, while a topic has had no message or says that its
// contact is unknown, and when a message is none of the words. Waits are real time, whatever the Clock's
// speed. Thread contract: as ContactSource. A host name is resolved by the system at each connection: give
// addresses.
#pragma once

#include <cstddef>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "daemon/clock.h"
#include "daemon/contacts/addresses/mqtt_address.h"
#include "daemon/contacts/contact_source.h"
#include "daemon/settings/secret_file.h"

namespace quietpass {

struct MqttTiming {
    double ask_every_s = 0.05;
    double answer_within_s = 2.0;
    double first_retry_s = 0.2;
    double last_retry_s = 5.0;
};

struct MqttInput {
    std::size_t contact = 0; // index into the station's contacts
    MqttAddress address;     // all inputs of a source have the same source()
};

class MqttSource final : public ContactSource {
  public:
    // number: what `source` of its events says; client_id: no two clients of a broker may have the same. The
    // clock must outlive the source.
    // ca_file: see MqttServer.
    MqttSource(std::size_t number, const std::vector<MqttInput>& inputs, std::string client_id,
               std::optional<Login> login, std::string ca_file, const Clock& clock,
               const MqttTiming& timing = {});
    ~MqttSource() override;

    const std::string& name() const override;
    void start(ContactSink& sink) override;
    void stop() override;

  private:
    struct Parts;
    std::unique_ptr<Parts> parts_;
};

} // namespace quietpass
