/// Mistakes named by pins, from the nets alone: for builds that no change of a few wires explains.
///
/// Each wanted net has a home among the made nets: where the source of its rail is, or most of its pins.
/// A pin elsewhere is alone, on the home of another net, or one of a piece that lost its wire; two pins on
/// each other's homes are exchanged; two wanted nets with one home are joined.
#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "teaching/naming.h"

namespace voltsill {
namespace {

class NetNaming {
  public:
    NetNaming(PreparedMarking::Inside& in, const NetsJudged& judged)
        : in_(in), made_(judged.nets), right_(in.joints.of(in.key)) {
        // A rail is where the plus of its supply is; without its 0 V nothing holds it,
        // and that is a mistake of the 0 V.
        for (std::size_t r = 0; r < in.bench.rails.size(); ++r)
            if (const int plus = in.joints.plus_of(static_cast<int>(r)); plus >= 0)
                made_[in.joints.rail(static_cast<int>(r))] = made_[plus];
        find_homes();
    }

    std::vector<Mistake> run() {
        joined_nets();
        std::map<std::pair<int, int>, std::vector<int>> strays;  // wanted and made net -> joints
        for (std::size_t n = 0; n < in_.wanted.joints.size(); ++n)
            for (const int j : in_.wanted.joints[n])
                if (made_[j] != home_[n]) strays[{static_cast<int>(n), made_[j]}].push_back(j);
        std::set<int> done;
        for (const auto& [at, joints] : strays)
            for (const int j : joints) exchanged(j, done);
        for (auto& [at, joints] : strays) {
            std::erase_if(joints, [&](int j) { return done.contains(j); });
            if (!joints.empty()) stray(at.first, joints);
        }
        return std::move(out_);
    }

  private:
    /// Larger nets choose first, so that a joined pair has the home of the larger.
    void find_homes() {
        const auto& nets = in_.wanted.joints;
        home_.assign(nets.size(), -1);
        for (std::size_t n = 0; n < nets.size(); ++n) {
            std::map<int, int> votes;
            for (const int j : nets[n]) votes[made_[j]] += in_.joints.is_pin(j) ? 1 : 1000;
            int most = 0;
            for (const int j : nets[n])
                if (votes[made_[j]] > most) most = votes[made_[j]], home_[n] = made_[j];
        }
        for (std::size_t n = 0; n < nets.size(); ++n) {
            int& owner = owner_.try_emplace(home_[n], static_cast<int>(n)).first->second;
            if (nets[n].size() > nets[owner].size()) owner = static_cast<int>(n);
        }
    }

    bool is_single(int net) const { return in_.wanted.joints[net].size() == 1; }

    /// Nets whose homes are one. A pin that should be open counts as joined to what it is on.
    void joined_nets() {
        for (std::size_t n = 0; n < home_.size(); ++n) {
            const int owner = owner_.at(home_[n]);
            if (owner == static_cast<int>(n)) continue;
            const int a = in_.wanted.joints[owner].front(), b = in_.wanted.joints[n].front();
            JointNets changed = right_;
            for (int& net : changed)
                if (net == right_[b]) net = right_[a];
            if (is_single(static_cast<int>(n)) && takes_place_of(b, owner)) continue;
            add(MistakeKind::extra_wire, changed, {owner, static_cast<int>(n)},
                fmt::format("extra wire joins {} and {}", in_.net_words(owner), in_.net_words(static_cast<int>(n))),
                fmt::format("Take apart {} and {}.", in_.net_words(owner), in_.net_words(static_cast<int>(n))));
        }
    }

    /// An open pin on a net from which a pin of the same part is missing: the end went to the wrong pin.
    bool takes_place_of(int open_pin, int net) {
        if (!in_.joints.is_pin(open_pin) || in_.is_held(net)) return false;
        for (const int j : in_.wanted.joints[net]) {
            if (!in_.joints.is_pin(j) || in_.joints.part_of(j) != in_.joints.part_of(open_pin) ||
                made_[j] == home_[net] || moved_.contains(j))
                continue;
            JointNets changed = right_;
            std::swap(changed[j], changed[open_pin]);
            moved_.insert(j);
            add(beside(j, open_pin) ? MistakeKind::header_pin_off : MistakeKind::wrong_place, changed,
                {net, in_.wanted.net[open_pin]},
                fmt::format("the wire of {} is on {}", in_.words(j), in_.words(open_pin)),
                fmt::format("Move the wire from {} to {}.", in_.words(open_pin), in_.words(j)));
            return true;
        }
        return false;
    }
    bool beside(int a, int b) const { return std::abs(in_.joints.pin_of(a) - in_.joints.pin_of(b)) == 1; }

    void exchanged(int j, std::set<int>& done) {
        if (done.contains(j) || !in_.joints.is_pin(j)) return;
        if (moved_.contains(j)) {
            done.insert(j);
            return;
        }
        const auto owner = owner_.find(made_[j]);
        if (owner == owner_.end()) return;
        const int net = in_.wanted.net[j];
        for (const int k : in_.wanted.joints[owner->second]) {
            if (!in_.joints.is_pin(k) || made_[k] != home_[net] || done.contains(k)) continue;
            JointNets changed = right_;
            std::swap(changed[j], changed[k]);
            done.insert(j), done.insert(k);
            add(MistakeKind::exchanged, changed, {net, owner->second},
                fmt::format("pins {} and {} exchanged", in_.words(j), in_.words(k)),
                fmt::format("Exchange the wires of {} and {}.", in_.words(j), in_.words(k)));
            return;
        }
    }

    /// Pins of one wanted net that hang together away from its home.
    void stray(int net, const std::vector<int>& joints) {
        const auto owner = owner_.find(made_[joints.front()]);
        const bool elsewhere = owner != owner_.end() && owner->second != net && !is_single(owner->second);
        JointNets changed = right_;
        const int alone = *std::ranges::min_element(joints);
        const int there = elsewhere ? right_[in_.wanted.joints[owner->second].front()] : fresh(alone);
        for (const int j : joints) changed[j] = there;
        std::string pins;
        constexpr std::size_t shown = 4;
        for (std::size_t k = 0; k < std::min(joints.size(), shown); ++k)
            pins += (k ? ", " : "") + in_.words(joints[k]);
        if (joints.size() > shown) pins += fmt::format(" and {} more", joints.size() - shown);
        std::vector<int> nets = {net};
        const std::string right = rest_of(net, joints);
        if (elsewhere) {
            nets.push_back(owner->second);
            add(MistakeKind::wrong_place, changed, nets,
                fmt::format("{} on {} in place of {}", pins, in_.net_words(owner->second), right),
                fmt::format("Move {} from {} to {}.", pins, in_.net_words(owner->second), right));
        } else {
            add(MistakeKind::wire_missing, changed, nets, fmt::format("wire missing: {} to {}", pins, right),
                fmt::format("Join {} with {}.", pins, right));
        }
    }
    int fresh(int joint) const { return in_.joints.count() + joint; }

    /// What the net is called by pins that are not astray themselves.
    std::string rest_of(int net, const std::vector<int>& joints) const {
        const std::string name = in_.net_words(net);
        if (std::ranges::none_of(joints, [&](int j) { return in_.words(j) == name; })) return name;
        for (const int j : in_.wanted.joints[net])
            if (std::ranges::find(joints, j) == joints.end()) return in_.words(j);
        return name;
    }

    void add(MistakeKind kind, const JointNets& changed, const std::vector<int>& nets, std::string words,
             std::string remedy) {
        SlipNets::Key key = changed;
        key.push_back(-1000);  // nets by joint: another kind of key
        const auto harm = in_.harm_of(key, [&] { return in_.joints.wiring(in_.bench, in_.build.wiring, changed); });
        Mistake mistake{.kind = kind, .words = std::move(words), .remedy = std::move(remedy)};
        set_harm(in_, mistake, *harm, nets);
        out_.push_back(std::move(mistake));
    }

    PreparedMarking::Inside& in_;
    JointNets made_;
    const JointNets right_;
    std::vector<int> home_;     ///< by wanted net
    std::map<int, int> owner_;  ///< by made net: the wanted one whose home it is
    std::set<int> moved_;
    std::vector<Mistake> out_;
};

}  // namespace

std::vector<Mistake> mistakes_by_nets(PreparedMarking::Inside& in, const NetsJudged& judged) {
    return NetNaming(in, judged).run();
}

}  // namespace voltsill
