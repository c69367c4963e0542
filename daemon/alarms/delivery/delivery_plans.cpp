#include "daemon/alarms/delivery/delivery_plans.h"

#include <unistd.h>

#include <cerrno>
#include <cmath>
#include <cstring>
#include <optional>

#include "daemon/alarms/delivery/coil_line.h"
#include "daemon/alarms/delivery/command_channel.h"
#include "daemon/alarms/delivery/gpio_line.h"
#include "daemon/alarms/delivery/mail_channel.h"
#include "daemon/alarms/delivery/mqtt_channel.h"
#include "daemon/alarms/delivery/relay_channel.h"
#include "daemon/alarms/delivery/webhook_channel.h"
#include "daemon/failure.h"
#include "daemon/settings/secret_file.h"

namespace quietpass {

namespace {

std::optional<Login> login_from(const std::string& file) {
    return file.empty() ? std::nullopt : std::optional(read_login(file));
}

void need_readable(const std::string& file) {
    if (!file.empty() && access(file.c_str(), R_OK) != 0) {
        throw Failure(kExitUsage, file + ": can't be read (" + std::strerror(errno) + "); see ca_file");
    }
}

std::unique_ptr<OutputLine> line_of(const RelaySettings& relay) {
    if (const auto* const coil = std::get_if<CoilAddress>(&relay.line))
        return std::make_unique<CoilLine>(*coil);
    return std::make_unique<GpioLine>(std::get<GpioLineAddress>(relay.line));
}

// Makes the channels of one table; a mail's are several.
class PlanMaker {
  public:
    PlanMaker(const DeliverySettings& settings, std::shared_ptr<const StandingAlarms> standing,
              const Clock& clock, std::vector<DeliveryPlan>& into)
        : settings_(settings), standing_(std::move(standing)), clock_(clock), into_(into) {}

    void operator()(const MailSettings& mail) const {
        need_readable(mail.ca_file);
        const auto login = login_from(mail.login_file);
        for (const std::string& to : mail.to) {
            add(settings_.name + "/" + to,
                std::make_unique<MailChannel>(mail, to, login, settings_.within_s));
        }
    }
    void operator()(const WebhookSettings& webhook) const {
        need_readable(webhook.ca_file);
        add(settings_.name, std::make_unique<WebhookChannel>(webhook, read_signing_key(webhook.secret_file),
                                                             settings_.within_s, clock_));
    }
    void operator()(const MqttSettings& mqtt) const {
        need_readable(mqtt.ca_file);
        add(settings_.name,
            std::make_unique<MqttChannel>(mqtt, login_from(mqtt.login_file), settings_.within_s));
    }
    void operator()(const RelaySettings& relay) const {
        auto calls = [standing = standing_, severities = settings_.severities, causes = settings_.causes] {
            return standing->calls(severities, causes);
        };
        add(settings_.name, std::make_unique<RelayChannel>(relay, line_of(relay), std::move(calls)));
    }
    void operator()(const CommandSettings& command) const {
        if (access(command.program.c_str(), X_OK) != 0) {
            throw Failure(kExitUsage, command.program + ": can't be run (" + std::strerror(errno) +
                                          "); see delivery \"" + settings_.name + "\"");
        }
        add(settings_.name, std::make_unique<CommandChannel>(command, settings_.within_s));
    }

  private:
    void add(std::string name, std::unique_ptr<DeliveryChannel> channel) const {
        into_.push_back({std::move(name), std::move(channel), settings_.severities, settings_.causes,
                         settings_.events, settings_.first_retry_s, settings_.last_retry_s});
    }

    const DeliverySettings& settings_;
    std::shared_ptr<const StandingAlarms> standing_;
    const Clock& clock_;
    std::vector<DeliveryPlan>& into_;
};

} // namespace

std::vector<DeliveryPlan> delivery_plans(const StationSettings& settings,
                                         const std::shared_ptr<const StandingAlarms>& standing,
                                         const Clock& clock) {
    std::vector<DeliveryPlan> plans;
    for (const DeliverySettings& delivery : settings.deliveries) {
        std::visit(PlanMaker(delivery, standing, clock, plans), delivery.to);
    }
    return plans;
}

std::unique_ptr<Delivery> open_delivery(const StationSettings& settings, const std::filesystem::path& folder,
                                        const Clock& clock, const Delivery::Say& say) {
    Outbox outbox(folder / kOutboxFile);
    auto standing = std::make_shared<StandingAlarms>(outbox.standing());
    auto plans = delivery_plans(settings, standing, clock);
    const auto keep = std::chrono::hours(std::llround(24.0 * settings.outbox.keep_days));
    return std::make_unique<Delivery>(std::move(outbox), std::move(standing), std::move(plans), clock, say,
                                      keep);
}

} // namespace quietpass
