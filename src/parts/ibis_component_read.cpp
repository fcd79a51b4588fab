/// Components, pins and selectors of IBIS.
#include <fmt/format.h>

#include <algorithm>

#include "parts/ibis_reader.h"

namespace voltsill {

bool IbisReader::component_keyword() {
    const std::string& key = lines_.key();
    const std::string_view rest = lines_.rest();
    if (key == "component" || key == "model selector") {
        const bool component = key == "component";
        in_model_ = false;
        section_ = component ? Section::component : Section::selector;
        if (rest.empty())
            lines_.error(lines_.keyword_text(), "empty-keyword", "nothing follows this keyword", "a name");
        auto& names = component ? component_names_ : selector_names_;
        if (!names.emplace(rest, lines_.line()).second)
            lines_.error(rest, "repeated-name", "this name stands twice");
        if (component)
            file_.components.push_back({.name = std::string(rest.substr(0, 200)), .line = lines_.line()});
        else
            file_.selectors.push_back({.name = std::string(rest.substr(0, 200)), .line = lines_.line()});
        return true;
    }
    if (key != "manufacturer" && key != "package" && key != "pin") return false;
    if (file_.components.empty() || in_model_) {
        lines_.error(lines_.keyword_text(), "misplaced-keyword", "this keyword stands outside of a component",
                     "[Component] above it");
        return true;
    }
    IbisComponent& component = file_.components.back();
    if (key == "manufacturer") {
        component.manufacturer = rest.substr(0, 200);
        section_ = Section::none;
    } else if (key == "package") {
        section_ = Section::package;
    } else {
        section_ = Section::pins;
        pin_header();
    }
    return true;
}

void IbisReader::pin_header() {
    pin_columns_.clear();
    for (const std::string_view word : lines_.words()) {
        const bool known =
            std::ranges::any_of(std::array{"signal_name", "model_name", "R_pin", "L_pin", "C_pin"},
                                [&](const char* k) { return same_letters(word, k); });
        if (!known && pin_columns_.size() < 10)
            lines_.error(word, "unknown-column", "this is no column of [Pin]",
                         "signal_name model_name R_pin L_pin C_pin");
        if (pin_columns_.size() < 10) pin_columns_.push_back(ibis_key(word));
    }
    if (pin_columns_.empty()) pin_columns_ = {"signal name", "model name"};
}

void IbisReader::pin_row() {
    const auto words = lines_.words();
    IbisPin pin{.number = std::string(words[0].substr(0, 80)), .line = lines_.line()};
    if (words.size() < 3) {
        lines_.error(lines_.rest(), "short-row", "this pin has no signal name or no model",
                     "pin signal_name model_name");
        return;
    }
    std::vector<std::string> unsaid;
    for (std::size_t i = 1; i < words.size(); ++i) {
        if (i > pin_columns_.size() && i > 2) {
            // R_pin L_pin C_pin without a heading for them
            lines_.warning(words[i], "extra-words", "there is no heading for this column",
                           "[Pin] signal_name model_name R_pin L_pin C_pin");
            break;
        }
        const std::string& column = pin_columns_[std::min(i, pin_columns_.size()) - 1];
        if (column == "signal name" || (i == 1 && pin_columns_.size() < 2))
            pin.signal = words[i].substr(0, 80);
        else if (column == "model name")
            pin.model = words[i].substr(0, 80);
        else if (!IbisLines::is_na(words[i])) {
            auto& slot = column == "r pin"   ? pin.package.ohms
                         : column == "l pin" ? pin.package.henries
                                             : pin.package.farads;
            slot = lines_.triple(std::span(words).subspan(i, 1), column, unsaid);
        }
    }
    file_.components.back().pins.push_back(std::move(pin));
}

void IbisReader::package_row() {
    const auto words = lines_.words(true);
    if (words.empty()) return;
    IbisPackage& package = file_.components.back().package;
    auto* slot = same_letters(words[0], "R_pkg")   ? &package.ohms
                 : same_letters(words[0], "L_pkg") ? &package.henries
                 : same_letters(words[0], "C_pkg") ? &package.farads
                                                   : nullptr;
    if (!slot) {
        lines_.unknown_name(words[0], "unknown-parameter", "this is no parameter of [Package]",
                            {"R_pkg", "L_pkg", "C_pkg"});
        return;
    }
    std::vector<std::string> unsaid;
    *slot = lines_.triple(std::span(words).subspan(1), words[0], unsaid);
}

void IbisReader::selector_row() {
    const auto words = lines_.words();
    const std::string_view rest = lines_.rest().substr(words[0].size());
    file_.selectors.back().choices.push_back(
        {std::string(words[0].substr(0, 80)),
         std::string(rest.substr(std::min(rest.size(), rest.find_first_not_of(" \t")), 200)), lines_.line()});
}

void IbisReader::check_names() {
    const std::vector<std::string> names = file_.model_names();
    const auto known = [&](const std::string& name) {
        return model_names_.contains(name) || selector_names_.contains(name);
    };
    for (const IbisComponent& component : file_.components) {
        if (component.pins.empty())
            lines_.error_on(component.line, "no-pins", "this component has no pins",
                            "[Pin] signal_name model_name");
        std::set<std::string_view> numbers;
        for (const IbisPin& pin : component.pins) {
            if (lines_.full()) return;
            if (!numbers.insert(pin.number).second)
                lines_.error_on(pin.line, "repeated-name", fmt::format("pin {} stands twice", pin.number));
            const bool reserved =
                std::ranges::any_of(std::array{"POWER", "GND", "NC", "NA", "CIRCUITCALL", "TERMINATOR"},
                                    [&](const char* word) { return pin.model == word; });
            if (reserved || known(pin.model)) continue;
            lines_.unknown_model(pin.line, pin.model, names);
        }
    }
    for (const IbisSelector& selector : file_.selectors) {
        if (selector.choices.empty())
            lines_.error_on(selector.line, "empty-selector", "this selector names no models");
        for (const IbisSelector::Choice& choice : selector.choices)
            if (!model_names_.contains(choice.model)) lines_.unknown_model(choice.line, choice.model, names);
    }
}

}  // namespace voltsill
