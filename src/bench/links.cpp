/// Links: which pin shall tell which pin what, and whether those pins can.
#include <algorithm>

#include "bench/bench_work.h"
#include "quantity/print.h"
#include "quantity/scan.h"

namespace voltsill {
namespace {

using Ends = std::vector<PinFound>;

bool is_signal(const Pin& pin) {
    return pin.role != PinRole::supply && pin.role != PinRole::ground && pin.role != PinRole::no_connect;
}

/// A signal pin of a transceiver, a pass gate or another channel that works both ways.
bool both_ways(const PinFound& end) {
    return std::ranges::any_of(end.part->type->channels, [&](const Channel& channel) {
        switch (channel.logic) {
            case ChannelLogic::transceiver:
            case ChannelLogic::pass_gate:
            case ChannelLogic::auto_push_pull:
            case ChannelLogic::auto_open_drain:
            case ChannelLogic::repeater:
                break;
            default:
                return false;
        }
        return channel.output == end.pin ||
               std::ranges::find(channel.inputs, end.pin) != channel.inputs.end();
    });
}

bool can_drive(const PinFound& end) {
    switch (end.get().role) {
        case PinRole::input:
        case PinRole::analog_input:
        case PinRole::load:
            return both_ways(end);
        default:
            return is_signal(end.get());
    }
}

bool can_read(const PinFound& end) {
    switch (end.get().role) {
        case PinRole::push_pull:
        case PinRole::three_state:
        case PinRole::open_drain:
        case PinRole::open_source:
        case PinRole::analog_output:
            return both_ways(end);
        default:
            return is_signal(end.get());
    }
}

bool is_push_pull(const PinFound& end) { return end.get().role == PinRole::push_pull; }

LinkKind kind_of(const LinkRecord& record, const Ends& from, const Ends& to) {
    const auto role = [](PinRole wanted) {
        return [wanted](const PinFound& end) { return end.get().role == wanted; };
    };
    if (record.kind) return *record.kind;
    if (!record.bus.empty()) return LinkKind::open_drain;  // I2C, the one that is known
    if (std::ranges::any_of(from, role(PinRole::analog_output))) return LinkKind::analog;
    if (std::ranges::any_of(to, role(PinRole::load))) return LinkKind::load;
    const auto wired_and = role(PinRole::open_drain_io);
    if (!from.empty() && !to.empty() && std::ranges::all_of(from, wired_and) &&
        std::ranges::all_of(to, wired_and))
        return LinkKind::open_drain;
    return LinkKind::logic;
}

class LinkTaking {
  public:
    LinkTaking(BenchWork& work, const LinkRecord& record) : work_(work), record_(record) {}

    Link take() {
        Link link;
        link.place =
            record_.name && record_.name->at ? work_.reader.place(record_.name->at->spot) : record_.place;
        const Ends from = find_ends("from", record_.from), to = find_ends("to", record_.to);
        link.kind = kind_of(record_, from, to);
        if (!refuse_twice(from, to)) refuse_roles(link.kind, from, to);
        warn_of_drivers(link.kind, from, to);
        for (const PinFound& end : from) link.from.push_back(end.ref(work_.reader));
        for (const PinFound& end : to) link.to.push_back(end.ref(work_.reader));
        take_words(link);
        return link;
    }

  private:
    Spot key(std::string_view name) const { return spot_of(record_.keys, name, record_.place); }

    Ends find_ends(std::string_view key_name, const std::vector<Text>& texts) {
        if (texts.empty() && record_.keys.find(key_name))
            work_.reader.error(
                key(key_name), key_name == "from" ? "no-driver" : "no-receiver",
                std::string("this link has no pin ") + (key_name == "from" ? "that drives" : "that receives"),
                "a pin such as \"gauge.ECHO\"");
        Ends ends;
        for (const Text& text : texts)
            if (const auto found = find_pin(work_, text)) ends.push_back(*found);
        return ends;
    }

    bool refuse_twice(const Ends& from, const Ends& to) {
        bool twice = false;
        std::map<std::pair<const BenchPart*, int>, const PinFound*> seen;
        for (const Ends* ends : {&from, &to})
            for (const PinFound& end : *ends) {
                const auto [other, first] = seen.emplace(std::pair(end.part, end.pin), &end);
                twice |= !first;
                if (!first)
                    work_.reader.conflict(
                        end.text->at->spot, other->second->text->at->spot, "same-pin",
                        end.part->name + '.' + end.get().name + " stands twice in this link",
                        "different pins");
            }
        return twice;
    }

    void refuse(const PinFound& end, std::string code, const std::string& what, std::string expected) {
        work_.reader.error(end.text->at->spot, std::move(code),
                           end.part->name + '.' + end.get().name + " is " + what, std::move(expected));
    }

    std::string role_words(const PinFound& end) const {
        const std::string word(to_word(end.get().role));
        const bool vowel = std::string_view("aeio").find(word.front()) != std::string_view::npos;
        return (vowel ? "an " : "a ") + word +
               (word.ends_with("input") || word.ends_with("output") ? "" : " pin");
    }

    void refuse_roles(LinkKind kind, const Ends& from, const Ends& to) {
        const bool shared = kind == LinkKind::open_drain;
        for (const Ends* ends : {&from, &to})
            for (const PinFound& end : *ends) {
                const bool drives = can_drive(end), reads = can_read(end);
                if (!is_signal(end.get()))
                    refuse(end, "not-a-signal", role_words(end) + " and carries no signal", "a signal pin");
                else if (kind == LinkKind::two_way && !(drives && reads))
                    refuse(end, "one-way", role_words(end) + ", which does not work both ways",
                           "a pin that drives and reads");
                else if (!shared && ends == &from && !drives)
                    refuse(end, "cannot-drive", role_words(end) + ", which never drives",
                           "an output; `from` and `to` may be exchanged");
                else if (!shared && ends == &to && !reads)
                    refuse(end, "cannot-read", role_words(end) + ", which never reads",
                           "an input; `from` and `to` may be exchanged");
            }
        if (shared) refuse_idle_bus(from, to);
    }

    /// On a wired-AND line `from` and `to` only list who is on it.
    void refuse_idle_bus(const Ends& from, const Ends& to) {
        if (from.size() != record_.from.size() || to.size() != record_.to.size() || from.empty() ||
            to.empty())
            return;
        Ends all = from;
        all.insert(all.end(), to.begin(), to.end());
        if (std::ranges::none_of(all, can_drive))
            work_.reader.error(key("from"), "no-driver", "no pin of this link can pull it low",
                               "an open-drain pin");
        if (std::ranges::none_of(all, can_read))
            work_.reader.error(key("to"), "no-receiver", "no pin of this link can read it", "an input");
    }

    void warn_of_drivers(LinkKind kind, const Ends& from, const Ends& to) {
        if (kind == LinkKind::open_drain) {
            for (const Ends* ends : {&from, &to})
                for (const PinFound& end : *ends)
                    if (is_push_pull(end))
                        work_.warn(end.text->at->spot, "two-drivers",
                                   end.part->name + '.' + end.get().name +
                                       " also drives high, against pins that pull this line low",
                                   "an open-drain pin");
            return;
        }
        if (kind != LinkKind::logic && kind != LinkKind::load) return;
        const auto first = std::ranges::find_if(from, is_push_pull);
        if (first == from.end()) return;
        const auto second = std::find_if(first + 1, from.end(), is_push_pull);
        if (second == from.end() || second->same(*first)) return;
        work_.warn(second->text->at->spot, "two-drivers",
                   first->part->name + '.' + first->get().name + " and " + second->part->name + '.' +
                       second->get().name + " drive this link at the same time",
                   "one push-pull output, or outputs that can let go");
    }

    void take_words(Link& link) {
        link.name = record_.name ? record_.name->text : "";
        if (record_.name && record_.name->at)
            good_name(work_, link.name, record_.name->at->spot, "link");
        else if (!record_.from.empty() && !record_.to.empty())
            link.name = record_.from.front().text + " to " + record_.to.front().text;
        link.bus = record_.bus;
        link.invert_allowed = record_.invert;
        link.safe_level = record_.safe_level;
        link.group = record_.group;
        link.interface = record_.interface;
        link.rate = record_.rate;
        if (link.rate && !(*link.rate > Hertz{0}))
            work_.reader.error(key("rate"), "out-of-range", "a rate of " + print(*link.rate),
                               "a rate above 0 Hz, or no `rate` for a signal that stands still");
        if (!link.bus.empty() && link.kind != LinkKind::open_drain)
            work_.reader.conflict(
                key("kind"), key("bus"), "not-a-bus",
                link.bus + " is an open-drain bus, and this link is " + std::string(to_word(link.kind)),
                "kind = \"open-drain\", or no `kind`");
    }

    BenchWork& work_;
    const LinkRecord& record_;
};

/// One receiving pin, two links with push-pull drivers: joined, the drivers fight.
void warn_of_shared_receivers(BenchWork& work) {
    struct Seen {
        const Link* link;
        const PinRef* driver;
    };
    std::map<std::pair<std::string, std::string>, Seen> receivers;
    for (const Link& link : work.bench.links) {
        if (link.kind != LinkKind::logic && link.kind != LinkKind::load) continue;
        const auto driver = std::ranges::find_if(link.from, [&](const PinRef& end) {
            const PartType& type = *work.parts.find(end.part)->second->type;
            return type.pins[static_cast<std::size_t>(type.pin_index(end.pin))].role == PinRole::push_pull;
        });
        if (driver == link.from.end()) continue;
        for (const PinRef& end : link.to) {
            const auto [other, first] =
                receivers.emplace(std::pair(end.part, end.pin), Seen{&link, &*driver});
            if (first || *other->second.driver == *driver) continue;
            Problem problem = work.reader.source().problem(
                spot_of(end.place), "two-drivers",
                end.part + '.' + end.pin + " also receives link " + in_quotes(other->second.link->name) +
                    ": joined as they are, two outputs drive one pin",
                "one driver for each receiving pin");
            problem.severity = Severity::warning;
            problem.other = other->second.link->place;
            problem.other_excerpt = work.reader.source().excerpt(problem.other.line);
            work.reader.add(std::move(problem));
        }
    }
}

}  // namespace

void take_links(BenchWork& work) {
    std::map<std::string, Place> names;
    for (const LinkRecord& record : work.file.links) {
        Link link = LinkTaking(work, record).take();
        const auto [other, first] = names.emplace(link.name, link.place);
        if (!first && !link.name.empty())
            work.reader.conflict(spot_of(link.place), spot_of(other->second), "duplicate-name",
                                 "two links are called " + in_quotes(link.name), "a name of its own");
        work.bench.links.push_back(std::move(link));
    }
    warn_of_shared_receivers(work);
}

}  // namespace voltsill
