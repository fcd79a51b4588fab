/// Files, components, pins and selectors of IBIS.
#include <fmt/format.h>

#include <algorithm>
#include <charconv>

#include "parts/ibis_reader.h"

namespace voltsill {
namespace {

constexpr std::size_t longest_text = 64u << 10;

/// Keywords that are read. Those of models come last.
const std::vector<std::string>& used_keywords() {
    static const std::vector<std::string> words{"IBIS Ver",
                                                "Comment Char",
                                                "File Name",
                                                "File Rev",
                                                "Date",
                                                "Source",
                                                "Notes",
                                                "Disclaimer",
                                                "Copyright",
                                                "Component",
                                                "Manufacturer",
                                                "Package",
                                                "Pin",
                                                "Model Selector",
                                                "Model",
                                                "Model Spec",
                                                "Temperature Range",
                                                "Voltage Range",
                                                "Pullup Reference",
                                                "Pulldown Reference",
                                                "POWER Clamp Reference",
                                                "GND Clamp Reference",
                                                "Pulldown",
                                                "Pullup",
                                                "GND Clamp",
                                                "POWER Clamp",
                                                "Ramp",
                                                "Rising Waveform",
                                                "Falling Waveform",
                                                "Rgnd",
                                                "Rpower",
                                                "Rac",
                                                "Cac",
                                                "End"};
    return words;
}

struct Unused {
    std::string_view name, reason;
    bool block = false;  ///< everything up to the next model, component or end belongs to it
};

/// Keywords of versions 3.2 to 7.x that are not used here, with the reason. From memory.
const std::vector<Unused>& unused_keywords() {
    static constexpr std::string_view coupled = "couplings between pins of a package are not modelled";
    static constexpr std::string_view supplies = "a part has ideal supplies here";
    static constexpr std::string_view series =
        "switches and parts between two pins are described in part files";
    static constexpr std::string_view other_language = "models in other languages are not run";
    static constexpr std::string_view boards = "board descriptions are not read";
    static constexpr std::string_view submodels =
        "dynamic clamps, bus hold and staged drivers are not modelled";
    static constexpr std::string_view limits = "timing checks come from the bench";
    static const std::vector<Unused> words{{"package model", coupled},
                                           {"alternate package models", coupled},
                                           {"end alternate package models", coupled},
                                           {"define package model", coupled, true},
                                           {"end package model", coupled},
                                           {"oem", coupled},
                                           {"description", boards},
                                           {"number of sections", coupled},
                                           {"number of pins", coupled},
                                           {"pin numbers", coupled},
                                           {"merged pins", coupled},
                                           {"model data", coupled},
                                           {"end model data", coupled},
                                           {"resistance matrix", coupled},
                                           {"inductance matrix", coupled},
                                           {"capacitance matrix", coupled},
                                           {"bandwidth", coupled},
                                           {"row", coupled},
                                           {"pin mapping", supplies},
                                           {"bus label", supplies},
                                           {"die supply pads", supplies},
                                           {"c comp corner", "the corners of C_comp are used as they stand"},
                                           {"diff pin", "differential pins are not modelled"},
                                           {"receiver thresholds", limits},
                                           {"repeater pin", other_language},
                                           {"series pin mapping", series},
                                           {"series switch groups", series},
                                           {"on", series},
                                           {"off", series},
                                           {"r series", series},
                                           {"l series", series},
                                           {"rl series", series},
                                           {"c series", series},
                                           {"lc series", series},
                                           {"rc series", series},
                                           {"series current", series},
                                           {"series mosfet", series},
                                           {"add submodel", submodels},
                                           {"submodel", submodels, true},
                                           {"submodel spec", submodels},
                                           {"driver schedule", submodels},
                                           {"gnd pulse table", submodels},
                                           {"power pulse table", submodels},
                                           {"ttgnd", "transit times of clamps are not modelled"},
                                           {"ttpower", "transit times of clamps are not modelled"},
                                           {"isso pu", supplies},
                                           {"isso pd", supplies},
                                           {"composite current", supplies},
                                           {"initial delay", "the delay of an output is given in part files"},
                                           {"external reference", supplies},
                                           {"external model", other_language, true},
                                           {"end external model", other_language},
                                           {"external circuit", other_language, true},
                                           {"end external circuit", other_language},
                                           {"circuit call", other_language, true},
                                           {"end circuit call", other_language},
                                           {"node declarations", other_language},
                                           {"end node declarations", other_language},
                                           {"algorithmic model", other_language, true},
                                           {"end algorithmic model", other_language},
                                           {"interconnect model group", coupled, true},
                                           {"end interconnect model group", coupled},
                                           {"interconnect model set", coupled, true},
                                           {"end interconnect model set", coupled},
                                           {"manufacturer pad", coupled},
                                           {"test data", limits, true},
                                           {"test load", limits, true},
                                           {"begin emi component", limits, true},
                                           {"end emi component", limits},
                                           {"begin board description", boards, true},
                                           {"end board description", boards},
                                           {"path description", boards},
                                           {"reference designator map", boards}};
    return words;
}

bool ends_block(std::string_view key) { return key.starts_with("end ") || key == "end"; }

/// Keywords that cannot stand inside a block: they end one that was left open.
bool begins_anew(std::string_view key) {
    return key == "model" || key == "component" || key == "model selector" || key == "end";
}

void append(std::string& text, std::string_view line) {
    if (line.empty() || text.size() > longest_text) return;
    if (!text.empty()) text += '\n';
    text += line.substr(0, longest_text);
}

template <class Item>
const Item* named_item(const std::vector<Item>& items, std::string_view name) {
    const auto at = std::ranges::find(items, name, &Item::name);
    return at == items.end() ? nullptr : &*at;
}

}  // namespace

const IbisModel* IbisFile::model(std::string_view name) const { return named_item(models, name); }
const IbisSelector* IbisFile::selector(std::string_view name) const { return named_item(selectors, name); }

std::vector<std::string> IbisFile::model_names() const {
    std::vector<std::string> names;
    for (const IbisSelector& s : selectors) names.push_back(s.name);
    for (const IbisModel& m : models) names.push_back(m.name);
    return names;
}

IbisFile IbisReader::read() {
    while (lines_.next()) {
        if (file_.ended) {
            lines_.warning(lines_.rest(), "text-after-end", "this stands after [End]",
                           "only comments after [End]");
            break;
        }
        if (lines_.is_keyword())
            keyword();
        else
            content();
    }
    finish();
    return std::move(file_);
}

void IbisReader::keyword() {
    end_section();
    const std::string& key = lines_.key();
    if (first_keyword_ && key != "ibis ver" && key != "comment char")
        lines_.error(lines_.keyword_text(), "not-ibis", "the file does not begin with [IBIS Ver]",
                     "[IBIS Ver] 3.2 as its first keyword");
    if (key != "comment char") first_keyword_ = false;
    section_ = Section::unused;
    if (skipping_ && !begins_anew(key)) {
        const bool over = ends_block(key);
        file_.unused.push_back(
            {std::string(lines_.keyword_text()), lines_.line(), fmt::format("part of [{}]", skipped_block_)});
        if (over) skipping_ = false;
        return;
    }
    skipping_ = false;
    if (header_keyword() || component_keyword() || model_keyword()) return;
    unused_keyword();
}

void IbisReader::unused_keyword() {
    const std::string& key = lines_.key();
    const auto known = std::ranges::find(unused_keywords(), std::string_view(key), &Unused::name);
    if (known != unused_keywords().end()) {
        file_.unused.push_back(
            {std::string(lines_.keyword_text()), lines_.line(), std::string(known->reason)});
        skipping_ = known->block;
        skipped_block_ = key;
        return;
    }
    file_.unused.push_back(
        {std::string(lines_.keyword_text().substr(0, 80)), lines_.line(), "no keyword that is known here"});
    const std::string_view inner = lines_.keyword_text().substr(1, lines_.keyword_text().size() - 2);
    if (!lines_.full() && !nearest_name(inner.substr(0, 80), used_keywords()).empty())
        lines_.unknown_name(inner, "unknown-keyword", "there is no such keyword", used_keywords());
    else
        lines_.warning(lines_.keyword_text(), "unknown-keyword",
                       "this keyword is not known here; its lines are not used");
}

bool IbisReader::header_keyword() {
    const std::string& key = lines_.key();
    const std::string_view rest = lines_.rest();
    const auto text = [&](std::string& into) {
        append(into, rest);
        text_ = &into;
        section_ = Section::text;
        return true;
    };
    if (key == "source") return text(file_.source);
    if (key == "notes") return text(file_.notes);
    if (key == "disclaimer") return text(file_.disclaimer);
    if (key == "copyright") return text(file_.copyright);
    const auto one = [&](std::string& into) {
        if (!into.empty())
            lines_.error(lines_.keyword_text(), "repeated-keyword", "this keyword stands once in a file");
        else if (rest.empty())
            lines_.error(lines_.keyword_text(), "empty-keyword", "nothing follows this keyword");
        else
            into = rest.substr(0, 200);
        section_ = Section::none;
        return true;
    };
    if (key == "file name") return one(file_.file_name);
    if (key == "file rev") return one(file_.revision);
    if (key == "date") return one(file_.date);
    if (key == "comment char") {
        section_ = Section::none;
        const bool good = rest.size() == 6 && same_letters(rest.substr(1), "_char");
        if (good)
            lines_.set_comment_char(rest.front());
        else
            lines_.error(rest.empty() ? lines_.keyword_text() : rest, "wrong-comment-char",
                         "this does not name a comment character", "[Comment Char] |_char");
        return true;
    }
    if (key == "end") {
        file_.ended = true;
        section_ = Section::none;
        return true;
    }
    if (key != "ibis ver") return false;
    one(file_.version);
    double version = 0;
    const auto [stop, trouble] = std::from_chars(rest.data(), rest.data() + rest.size(), version);
    if (trouble != std::errc{} || version < 1.0 || version >= 8.0)
        lines_.error(rest.empty() ? lines_.keyword_text() : rest, "wrong-version",
                     "this is no version of IBIS that is known here", "3.2 to 7.2");
    // 80 characters up to 4.1, 120 later (from memory).
    lines_.set_longest(version >= 4.2 ? 120 : 80);
    return true;
}

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

void IbisReader::content() {
    switch (section_) {
        case Section::text:
            append(*text_, lines_.rest());
            return;
        case Section::package:
            return package_row();
        case Section::pins:
            return pin_row();
        case Section::selector:
            return selector_row();
        case Section::model:
            return model_row();
        case Section::model_spec:
            return model_spec_row();
        case Section::ramp:
            return ramp_row();
        case Section::table:
            return table_row();
        case Section::waveform:
            return waveform_row();
        case Section::unused:
            return;
        case Section::component:
            // Si_location, Timing_location: where thresholds and timing are meant.
            return;
        case Section::none:
            if (first_keyword_) {
                lines_.error(lines_.rest(), "not-ibis", "the file does not begin with [IBIS Ver]",
                             "[IBIS Ver] 3.2 as its first keyword");
                first_keyword_ = false;
                section_ = Section::unused;
                return;
            }
            lines_.error(lines_.rest(), "misplaced-line", "nothing is expected here",
                         "a keyword in brackets");
            section_ = Section::unused;
    }
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

void IbisReader::finish() {
    end_section();
    if (first_keyword_)
        lines_.error_on(1, "not-ibis", "the file has no [IBIS Ver]", "[IBIS Ver] 3.2 as its first keyword");
    else if (!file_.ended)
        lines_.error_on(lines_.line(), "no-end", "the file has no [End]: it may have been cut off",
                        "[End] as its last line");
    check_names();
    for (const IbisModel& m : file_.models) check_ibis_model(m, lines_);
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

IbisFile read_ibis(std::string_view bytes, std::string_view file, Problems& problems) {
    const Source source{std::string(file), std::string(bytes)};
    const std::size_t nul = bytes.find('\0');
    if (nul != std::string_view::npos) {
        problems.push_back(source.problem(source.spot(nul, nul + 1), "not-text",
                                          "this is not a text file: it holds a zero byte",
                                          "an IBIS file (.ibs)"));
        return {.file = std::string(file)};
    }
    IbisFile out = IbisReader(source, problems).read();
    out.file = file;
    return out;
}

}  // namespace voltsill
