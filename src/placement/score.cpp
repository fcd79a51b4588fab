#include "placement/score.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace voltsill {

namespace {

/// One number for a branch, the same for the same ends.
std::uint64_t key(const Branch& branch) {
    const auto one = [](const TreeNode& node) {
        return static_cast<std::uint64_t>(node.kind) << 28 ^ static_cast<std::uint64_t>(node.index + 1) << 8 ^
               static_cast<std::uint64_t>(node.pin + 1);
    };
    return one(branch.a) << 32 | one(branch.b);
}

/// Jumpers along a whole board cross everything wherever they end: they say nothing about a change.
bool is_far(const BoardPoint& a, const BoardPoint& b) { return std::abs(a.down - b.down) > 60; }

std::vector<std::pair<std::uint64_t, const Branch*>> sorted(const std::vector<Branch>& tree) {
    std::vector<std::pair<std::uint64_t, const Branch*>> keys;
    keys.reserve(tree.size());
    for (const Branch& branch : tree) keys.emplace_back(key(branch), &branch);
    std::ranges::sort(keys, {}, [](const auto& k) { return k.first; });
    return keys;
}

}  // namespace

Score::Score(Layout& layout, NetPairHarm harm) : layout_(layout), harm_(std::move(harm)) {
    known_.assign(layout.nets.size() * layout.nets.size(), -1);
    rebuild();
}

long Score::rebuild() {
    begin();
    crossings_ = {};
    below_.assign(layout_.halves.size(), 0);
    across_ = unlike_ = below_;
    length_ = slips_ = unlike_total_ = 0;
    broken_ = 0;
    for (std::size_t n = 0; n < layout_.nets.size(); ++n) {
        layout_.grow(static_cast<NetId>(n));
        const NetState& state = layout_.nets[n];
        length_ += state.length;
        broken_ += state.broken;
        change_lines({}, state.tree);
    }
    for (std::size_t half = 0; half < layout_.halves.size(); ++half) weigh(static_cast<int>(half));
    return cost();
}

void Score::change_lines(const std::vector<Branch>& from, const std::vector<Branch>& to) {
    const auto old = sorted(from), fresh = sorted(to);
    std::size_t i = 0, j = 0;
    while (i < old.size() || j < fresh.size()) {
        if (i < old.size() && j < fresh.size() && old[i].first == fresh[j].first) {
            ++i, ++j;
        } else if (j == fresh.size() || (i < old.size() && old[i].first < fresh[j].first)) {
            const auto [a, b] = layout_.points(*old[i++].second);
            if (!is_far(a, b)) crossings_.remove(a, b);
        } else {
            const auto [a, b] = layout_.points(*fresh[j++].second);
            if (!is_far(a, b)) crossings_.add(a, b);
        }
    }
}

bool Score::harms(NetId a, NetId b) const {
    if (a > b) std::swap(a, b);
    signed char& known = known_[static_cast<std::size_t>(a) * layout_.nets.size() + static_cast<std::size_t>(b)];
    if (known < 0) known = harm_(a, b);
    return known != 0;
}

long Score::pair_slips(int a, int b) const {
    const HalfRow &p = layout_.halves[a], &q = layout_.halves[b];
    if (p.net == q.net || p.net == unconnected || q.net == unconnected) return 0;
    const int ends = p.ends + p.loose + q.ends + q.loose;
    return ends > 0 && harms(p.net, q.net) ? ends : 0;
}

/// The pairs of a half row with the one below and the one across.
void Score::weigh(int half) {
    const HalfRow& h = layout_.halves[half];
    const auto replace = [](long& stored, long value, long& total) {
        total += value - stored;
        stored = value;
    };
    const int below = layout_.half_of(h.board, h.row + 1, h.side);
    replace(below_[half], below < 0 ? 0 : pair_slips(half, below), slips_);
    if (h.side == 0) replace(across_[half], pair_slips(half, half + 1), slips_);
    long unlike = 0;
    if (below >= 0) {
        const HalfRow& other = layout_.halves[below];
        const auto is_bus = [&](NetId net) {
            return net != unconnected && (layout_.wiring.nets[net].ground || !layout_.wiring.nets[net].rail.empty());
        };
        const bool of_package = h.leads > h.loose && other.leads > other.loose;
        unlike = h.net != other.net && is_bus(h.net) && is_bus(other.net) && !of_package;
    }
    replace(unlike_[half], unlike, unlike_total_);
}

void Score::weigh_touched() {
    std::vector<int> around;
    for (const int half : touched_halves_) {
        const HalfRow& h = layout_.halves[half];
        around.push_back(half);
        if (h.side == 1) around.push_back(half - 1);
        if (const int above = layout_.half_of(h.board, h.row - 1, h.side); above >= 0) around.push_back(above);
    }
    std::ranges::sort(around);
    around.erase(std::ranges::unique(around).begin(), around.end());
    for (const int half : around) weigh(half);
}

void Score::begin() {
    saved_.clear();
    touched_halves_.clear();
}

void Score::touch(NetId net) {
    if (net == unconnected || std::ranges::find(saved_, net, &Saved::net) != saved_.end()) return;
    const NetState& state = layout_.nets[net];
    saved_.push_back({net, state.tree, state.length, state.broken});
    touched_halves_.insert(touched_halves_.end(), state.halves.begin(), state.halves.end());
}

long Score::settle() {
    for (const Saved& saved : saved_) {
        layout_.grow(saved.net);
        const NetState& state = layout_.nets[saved.net];
        change_lines(saved.tree, state.tree);
        length_ += state.length - saved.length;
        broken_ += state.broken - saved.broken;
        touched_halves_.insert(touched_halves_.end(), state.halves.begin(), state.halves.end());
    }
    weigh_touched();
    return cost();
}

void Score::revert() {
    for (Saved& saved : saved_) {
        const NetState& state = layout_.nets[saved.net];
        change_lines(state.tree, saved.tree);
        length_ += saved.length - state.length;
        broken_ += saved.broken - state.broken;
        layout_.set_tree(saved.net, std::move(saved.tree), saved.length, saved.broken);
    }
    weigh_touched();
}

long Score::cost() const {
    if (broken_ > 0) return std::numeric_limits<long>::max() / 4;
    // 1/16 pitch is 0.15875 mm.
    const long length = length_ * metre_cost / 6299;
    return slip_cost * slips_ + crossing_cost * crossings_.total() + length +
           unlike_rails_cost * unlike_total_;
}

}  // namespace voltsill
