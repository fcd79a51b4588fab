#include "bench/bench.h"

#include <algorithm>

namespace voltsill {
namespace {

template <class T>
const T* by_name(const std::vector<T>& all, std::string_view name) {
    const auto found = std::ranges::find(all, name, &T::name);
    return found == all.end() ? nullptr : &*found;
}

}  // namespace

const Rail* Bench::rail(std::string_view name) const { return by_name(rails, name); }
const BenchPart* Bench::part(std::string_view name) const { return by_name(parts, name); }
const Link* Bench::link(std::string_view name) const { return by_name(links, name); }

std::string_view to_word(LinkKind kind) {
    switch (kind) {
        case LinkKind::logic:
            return "logic";
        case LinkKind::open_drain:
            return "open-drain";
        case LinkKind::two_way:
            return "two-way";
        case LinkKind::analog:
            return "analog";
        case LinkKind::load:
            return "load";
    }
    return "logic";
}

std::shared_ptr<const BoardKind> Bench::board_kind(std::string_view name) const {
    for (const auto& kind : board_kinds)
        if (kind->name == name) return kind;
    return nullptr;
}

}  // namespace voltsill
