/// Packages: which pin has which number.
#include <fmt/format.h>

#include <algorithm>

#include "parts/part_build.h"
#include "quantity/scan.h"

namespace voltsill {
namespace {

bool may_repeat(const Pin& pin) { return pin.role == PinRole::supply || pin.role == PinRole::ground; }

}  // namespace

Package make_package(const std::string& name, const PinList& list, const PartType& type, Mistakes& mistakes) {
    Package package{.name = name, .pin_of_number = {}, .fits_board = fits_solderless_board(name)};
    std::vector<std::string> names;
    for (const Pin& pin : type.pins) names.push_back(pin.name);
    std::vector<bool> seen(type.pins.size());
    for (const Word& word : list.words) {
        const int index = word.text == "-" ? -1 : type.pin_index(word.text);
        package.pin_of_number.push_back(index);
        if (word.text == "-") continue;
        if (index < 0) {
            mistakes.unknown_name(word.place, "unknown-pin", "this part has no pin " + in_quotes(word.text),
                                  word.text, names);
            continue;
        }
        if (seen[index] && !may_repeat(type.pins[index]))
            mistakes.error(word.place, "pin-twice",
                           fmt::format("pin {} stands twice in {}", word.text, name));
        seen[index] = true;
    }
    for (std::size_t i = 0; i < seen.size(); ++i)
        if (!seen[i] && type.pins[i].role != PinRole::no_connect)
            mistakes.error(list.place, "pin-missing",
                           fmt::format("{} has no number for pin {}", name, type.pins[i].name));
    if (const auto count = package_pin_count(name); count && *count != static_cast<int>(list.words.size()))
        mistakes.error(list.place, "pin-count",
                       fmt::format("{} pins are listed for {}", list.words.size(), name),
                       fmt::format("{} pins", *count));
    return package;
}

Package row_package(const PartType& type) {
    const bool leads = type.kind != PartKind::module && type.supplies.empty();
    Package package{fmt::format("{}-{}", leads ? "LEADS" : "HEADER", type.pins.size()), {}, true};
    for (int i = 0; i < static_cast<int>(type.pins.size()); ++i) package.pin_of_number.push_back(i);
    return package;
}

}  // namespace voltsill
