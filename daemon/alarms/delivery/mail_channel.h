// A message as a mail to one person, by SMTP over TLS: smtps://, or smtp:// with STARTTLS demanded. The
// server's answer to the end of the text (250) is the acknowledgement. One channel a person: an address that
// the server refuses then keeps the mail from nobody else, and nobody gets it twice.
#pragma once

#include <memory>
#include <optional>
#include <string>

#include "daemon/alarms/delivery/curl_transfer.h"
#include "daemon/alarms/delivery/delivery_channel.h"
#include "daemon/settings/secret_file.h"
#include "daemon/settings/delivery_settings.h"

namespace quietpass {

class MailChannel final : public DeliveryChannel {
  public:
    MailChannel(MailSettings settings, std::string to, std::optional<Login> login, double within_s);

    std::string place() const override;
    HandOver hand_over(const AlarmMessage& message, const std::atomic<bool>& stop) override;
    // Says goodbye to the server, which may take its time.
    void rest() override;

  private:
    MailSettings settings_;
    std::string to_;
    std::optional<Login> login_;
    double within_s_;
    std::unique_ptr<CurlTransfer> open_;
};

} // namespace quietpass
