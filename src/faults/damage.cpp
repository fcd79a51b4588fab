#include "faults/damage.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <ranges>
#include <set>

#include "faults/listing.h"
#include "quantity/print.h"
#include "wiring/part_words.h"

namespace voltsill {
namespace {

/// A sound silicon diode at about 1 mA, where the sheet says nothing (common practice: 0.4 to 0.8 V).
constexpr double diode_lo = 0.4, diode_hi = 0.8;
/// Above so many times its absolute maximum supply a part is not tested, it is thrown away (common practice).
constexpr double hopeless = 1.3;

DiodeTest conducts(std::string red, std::string black, double lo, double hi) {
    return {.red = std::move(red),
            .black = std::move(black),
            .lo = lo,
            .hi = hi,
            .expected = fmt::format("{:.1f}..{:.1f} V", lo, hi),
            .dead = "below 0.1 V, or open"};
}
DiodeTest blocks(std::string red, std::string black) {
    return {.red = std::move(red), .black = std::move(black), .open = true, .expected = "open", .dead = "below 0.1 V"};
}
DiodeTest by_figure(std::string red, std::string black, const Figure<Volts>& forward) {
    return forward.known() ? conducts(std::move(red), std::move(black), forward.span.lo.si(), forward.span.hi.si())
                           : conducts(std::move(red), std::move(black), diode_lo, diode_hi);
}

/// A discrete part is its own diodes.
struct Discrete {
    const WiredPart& part;
    std::string at(std::string_view pin) const { return pin_label(part, part.type->pin_index(pin)); }

    std::vector<DiodeTest> operator()(const DiodeModel& m) const {
        return {by_figure(at("A"), at("K"), m.forward), blocks(at("K"), at("A"))};
    }
    std::vector<DiodeTest> operator()(const BjtModel& m) const {
        const auto junction = [&](const char* far) {
            return m.pnp ? by_figure(at(far), at("B"), m.vbe) : by_figure(at("B"), at(far), m.vbe);
        };
        return {junction("E"), junction("C"), m.pnp ? blocks(at("E"), at("C")) : blocks(at("C"), at("E"))};
    }
    std::vector<DiodeTest> operator()(const MosfetModel& m) const {
        const char *from = m.p_channel ? "D" : "S", *to = m.p_channel ? "S" : "D";
        return {by_figure(at(from), at(to), m.body_forward), blocks(at("G"), at("S")), blocks(at("G"), at("D")),
                blocks(at(to), at(from))};
    }
    std::vector<DiodeTest> operator()(const OptoModel& m) const {
        return {by_figure(at("A"), at("K"), m.forward), blocks(at("K"), at("A")), blocks(at("C"), at("E"))};
    }
    template <class Other>
    std::vector<DiodeTest> operator()(const Other&) const {
        return {};
    }
};

int supply_pin(const PartType& type, int port) {
    for (std::size_t k = 0; k < type.pins.size(); ++k)
        if (type.pins[k].role == PinRole::supply && (port < 0 || type.pins[k].supply == port))
            return static_cast<int>(k);
    return -1;
}

bool powers(const Pin& pin) { return pin.role == PinRole::supply || pin.role == PinRole::ground; }
bool is_of_the_plan(const WiredPart& part) { return part.purpose != unplanned_purpose; }

/// Gathers what was hurt, by part, and what hangs on it.
class Ledger {
  public:
    explicit Ledger(const Wiring& wiring) : wiring_(wiring) {}

    void take(const Finding& f) {
        if (f.verdict != Verdict::harmful && f.verdict != Verdict::unknown) return;
        if (f.part.empty()) return on_rail(f);
        const int p = wiring_.part(f.part);
        if (p < 0 || !is_of_the_plan(wiring_.parts[p])) return;
        SuspectPart& suspect = at(p);
        const double over = over_of(f);
        suspect.over = std::max(suspect.over, over);
        suspect.why.push_back(f.sentence);
        hurt_[p] = true;
        const bool supply = f.code == "supply-reversed" || f.code == "supply-too-high";
        suspect.discard |= f.code == "supply-reversed" || (supply && over > hopeless);
        if (const int k = wiring_.parts[p].type->pin_index(f.pin); k >= 0) pins_[p].insert(k);
    }
    Damage result() {
        hang_on();
        Damage damage;
        for (auto& [p, suspect] : parts_) {
            const WiredPart& part = wiring_.parts[p];
            std::vector<int> pins(pins_[p].begin(), pins_[p].end());
            for (std::size_t k = 0; k < part.net_of_pin.size(); ++k)
                if (part.net_of_pin[k] != unconnected && !pins_[p].contains(static_cast<int>(k)) &&
                    !is_held(wiring_, part.net_of_pin[k]))
                    pins.push_back(static_cast<int>(k));
            suspect.tests = diode_tests(part, pins);
            suspect.advice = advice(part, suspect);
            damage.parts.push_back(std::move(suspect));
        }
        std::ranges::stable_sort(damage.parts, [&](const SuspectPart& a, const SuspectPart& b) {
            return std::tuple(hurt_[b.part], b.over) < std::tuple(hurt_[a.part], a.over);
        });
        say(damage);
        return damage;
    }

  private:
    SuspectPart& at(int p) {
        SuspectPart& suspect = parts_[p];
        suspect.part = p;
        suspect.words = fmt::format("{} ({})", wiring_.parts[p].name, part_words(wiring_.parts[p]));
        return suspect;
    }
    static double over_of(const Finding& f) {
        if (!f.value || !f.limit) return 1;
        const double limit = std::abs(f.limit->value);
        return limit > 0 ? std::abs(f.value->value) / limit : 1 + std::abs(f.margin);
    }
    /// A rail that was lifted or shorted: whatever is supplied from it.
    void on_rail(const Finding& f) {
        const NetId net = f.net.starts_with("rail ") ? wiring_.rail(f.net.substr(5)) : unconnected;
        for (std::size_t p = 0; net != unconnected && p < wiring_.parts.size(); ++p) {
            const WiredPart& part = wiring_.parts[p];
            const bool supplied = std::ranges::any_of(
                std::views::iota(std::size_t{0}, part.net_of_pin.size()),
                [&](std::size_t k) { return part.net_of_pin[k] == net && powers(part.type->pins[k]); });
            if (supplied) at(static_cast<int>(p)).why.push_back(f.sentence);
        }
        rails_.push_back(f.sentence);
    }
    /// Active parts on a net of a hurt pin, and those supplied from the rail its diode leads to.
    void hang_on() {
        const auto pins_of_hurt = pins_;
        for (const auto& [p, pins] : pins_of_hurt) {
            const WiredPart& hurt = wiring_.parts[p];
            for (const int k : pins) {
                const NetId net = hurt.net_of_pin[k];
                const Pin& pin = hurt.type->pins[k];
                const NetId rail =
                    powers(pin) || !pin.clamp_to_supply ? unconnected : supply_net(wiring_, p, pin.supply);
                for (int other = 0; other < static_cast<int>(wiring_.parts.size()); ++other)
                    if (other != p && is_of_the_plan(wiring_.parts[other])) beside(p, k, other, net, rail);
            }
        }
    }
    void beside(int p, int k, int other, NetId net, NetId rail) {
        const WiredPart &hurt = wiring_.parts[p], &part = wiring_.parts[other];
        if (part.type->kind == PartKind::resistor || part.type->kind == PartKind::capacitor) return;
        for (int j = 0; j < static_cast<int>(part.net_of_pin.size()); ++j) {
            const NetId at_pin = part.net_of_pin[j];
            if (at_pin == unconnected) continue;
            const bool line = at_pin == net && !is_held(wiring_, net);
            const bool fed = at_pin == rail && powers(part.type->pins[j]);
            if (!line && !fed) continue;
            SuspectPart& suspect = at(other);
            if (line) pins_[other].insert(j);
            std::string why = line ? fmt::format("{} is on one line with {}.", pin_label(part, j), pin_label(hurt, k))
                                   : fmt::format("It is on {}, where the protection diode of {} leads to.",
                                                 wiring_.nets[rail].name, pin_label(hurt, k));
            if (!hurt_[other] && std::ranges::find(suspect.why, why) == suspect.why.end())
                suspect.why.push_back(std::move(why));
        }
    }
    static std::string advice(const WiredPart& part, const SuspectPart& suspect) {
        if (suspect.discard) return fmt::format("Do not use {} again, whatever it reads.", part.name);
        if (part.type->kind == PartKind::resistor && part.value)
            return fmt::format("Measure {} alone: about {}.", part.name, print(Ohms{*part.value}));
        if (suspect.over > 0)
            return fmt::format("Test {}; if it passes, mark it as stressed and watch it.", part.name);
        return fmt::format("Test {} when a part before it turns out dead.", part.name);
    }
    void say(Damage& damage) const {
        const auto hurt = std::ranges::count_if(damage.parts, [](const SuspectPart& s) { return s.over > 0; });
        if (damage.parts.empty()) {
            damage.sentence = rails_.empty() ? "No part saw more than it stands." : rails_.front();
            if (rails_.empty()) return;
        } else {
            const long first = std::max<long>(hurt, 1), beside = std::ssize(damage.parts) - first;
            damage.sentence = fmt::format(
                "{} may be hurt{}; test {} first. {}", first == 1 ? "1 part" : fmt::format("{} parts", first),
                beside <= 0
                    ? ""
                    : fmt::format(", and {} more where {} turns out dead", beside, first == 1 ? "it" : "one of them"),
                wiring_.parts[damage.parts.front().part].name, damage.parts.front().why.front());
        }
        damage.cautions = {
            "Power off, supplies unplugged; wait until large capacitors are empty. What was hot may still burn.",
            "Take the part out of the board, or pull all its wires: what is beside it reads along.",
            "A part that passes may still be weakened: mark it, and keep it out of anything that matters.",
            "Follow the rules of your workshop, and ask whoever is responsible there before powering again."};
    }

    const Wiring& wiring_;
    std::map<int, SuspectPart> parts_;
    std::map<int, std::set<int>> pins_;
    std::map<int, bool> hurt_;
    std::vector<std::string> rails_;
};

}  // namespace

std::vector<DiodeTest> diode_tests(const WiredPart& part, std::span<const int> pins) {
    std::vector<DiodeTest> out = std::visit(Discrete{part}, part.type->model);
    const PartType& type = *part.type;
    const int ground = type.ground_pin();
    if (ground < 0) return out;
    for (int s = 0; s < static_cast<int>(type.supplies.size()); ++s)
        if (const int k = supply_pin(type, s); k >= 0)
            out.push_back(conducts(pin_label(part, ground), pin_label(part, k), diode_lo, diode_hi));
    for (const int k : pins) {
        const Pin& pin = type.pins[k];
        if (powers(pin) || pin.role == PinRole::no_connect || pin.role == PinRole::passive) continue;
        const std::string here = pin_label(part, k), zero = pin_label(part, ground);
        out.push_back(pin.clamp_to_ground ? by_figure(zero, here, pin.clamp_forward) : blocks(zero, here));
        const int supply = pin.supply < 0 ? -1 : supply_pin(type, pin.supply);
        if (supply < 0) continue;
        const std::string plus = pin_label(part, supply);
        out.push_back(pin.clamp_to_supply ? by_figure(here, plus, pin.clamp_forward) : blocks(here, plus));
    }
    return out;
}

Damage damage_of(const Wiring& wiring, std::span<const Finding> findings) {
    Ledger ledger(wiring);
    for (const Finding& f : findings) ledger.take(f);
    return ledger.result();
}

Damage damage_of(const Bench& bench, const PlacedWiring& build, const Fault& fault) {
    const FaultyBuild faulty = with_fault(bench, build, fault);
    return damage_of(faulty.wiring, FaultJudge(bench, build).findings_of(faulty));
}

}  // namespace voltsill
